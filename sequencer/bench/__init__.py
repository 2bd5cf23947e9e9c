"""The bench page: the job on a phone or tablet beside the machine, for those who were invited."""
