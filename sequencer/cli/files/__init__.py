"""Machine files: found, written, checked, compared."""
