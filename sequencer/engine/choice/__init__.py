"""Which operations to do at all: branch and bound over partial choices."""
