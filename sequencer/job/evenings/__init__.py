"""Sittings of a job: how far tonight, the way to a place to stop, the stop."""
