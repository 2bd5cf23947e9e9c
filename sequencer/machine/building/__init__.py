"""The tree becomes the model."""
