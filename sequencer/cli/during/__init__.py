"""During the job: what you did, where it stands, the clock, the page."""
