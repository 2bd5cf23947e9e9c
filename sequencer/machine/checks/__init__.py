"""What a person can get wrong in a machine file; ``all_checks`` asks for each."""
