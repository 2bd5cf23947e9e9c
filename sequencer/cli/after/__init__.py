"""After the job: its torque record, and what it taught."""
