"""Documents laid out for a medium. Nothing here decides what is said."""
