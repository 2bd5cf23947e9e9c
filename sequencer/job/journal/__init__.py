"""What is written of a job: its events, the database that keeps them, the state replayed from them."""
