"""A job for other programs: JSON, CSV, Markdown, a calendar."""
