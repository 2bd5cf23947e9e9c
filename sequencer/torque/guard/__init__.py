"""The strength guard: what is odd or impossible in a torque that a file gives."""
