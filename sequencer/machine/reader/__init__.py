"""The text of a machine file, read into a tree that knows its lines."""
