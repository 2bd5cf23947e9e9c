"""What is said of a plan before it is begun."""
