"""What somebody at a job is told: how it begins, what comes next, how it stands, what it taught."""
