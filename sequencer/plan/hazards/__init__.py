"""What can hurt: cautions, loads and who holds them, places where a job may be left."""
