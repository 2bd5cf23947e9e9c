"""What closing up takes: sealants and their clocks, torques, wrenches, supplies."""
