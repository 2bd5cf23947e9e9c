"""What the model is made of."""
