"""What jobs teach: times, pace, what a machine file keeps."""
