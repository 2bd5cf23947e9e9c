"""What two files of machines of one type have differently: the facts of each, held against each other."""
