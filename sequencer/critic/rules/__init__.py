"""The rules: a file for those of one matter, a function for each."""
