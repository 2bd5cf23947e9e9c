"""What a job is asked: its record, what is off and open, where a thing is."""
