"""Options that several commands share, and where their answers are written."""
