"""A simulated person takes a machine apart, tells it in short lines, and goes by what comes of that."""
