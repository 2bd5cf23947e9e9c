"""What may stand in a machine file; ``entries`` is the whole of it, the others are parts of that."""
