"""What is said of one step, joint or tool."""
