"""An independent reading of the machine file's format page, to hold the program against."""
