"""The steps of a plan shared out among several people."""
