"""What is worth a look first: what may be found at a part, what it saves, when it can be seen."""
