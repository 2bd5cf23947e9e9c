"""Acts of the work itself: steps ticked, figures read, entries undone."""
