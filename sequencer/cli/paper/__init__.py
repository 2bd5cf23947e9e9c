"""On paper: sheets, tags and lists, and a job for other programs."""
