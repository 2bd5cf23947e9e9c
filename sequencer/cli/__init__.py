"""The commands, each thin and in a file of its own."""
