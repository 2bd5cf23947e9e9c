"""What is said of sittings: how far you get, where to stop, how to go on."""
