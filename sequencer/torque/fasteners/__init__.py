"""What a fastener bears: its thread, its strength, the friction in it, the hole that it goes into."""
