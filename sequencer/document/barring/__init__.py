"""What is in the way of what, as boxes and what each box waits for: said here, drawn elsewhere."""
