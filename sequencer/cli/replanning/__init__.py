"""During the job: what was found, which changes the machine file or the plan."""
