"""Before the job: what `--help` lists there."""
