"""A job under way: what has been done, written down as it happens, and what is left."""
