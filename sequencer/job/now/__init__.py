"""The job as it stands at one moment, and the acts that every other act is made of."""
