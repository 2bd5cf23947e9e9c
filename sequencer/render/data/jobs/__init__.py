"""A job under way as data."""
