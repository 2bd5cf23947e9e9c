"""Plans and findings as plain data, for other programs."""
