"""The torque wrenches that somebody owns: which one serves a torque, and what it is set to."""
