"""What blocks what, drawn: boxes in levels from the target outwards, and lines that keep clear of words."""
