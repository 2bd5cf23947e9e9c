"""Acts that change the machine file or the plan."""
