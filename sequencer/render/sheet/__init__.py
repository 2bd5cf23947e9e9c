"""The job sheet: the plan on paper, to be worked from with a pencil in greasy hands."""
