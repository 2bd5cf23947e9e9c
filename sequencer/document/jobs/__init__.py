"""What is said of a job under way, and of its record."""
