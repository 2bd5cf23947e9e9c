"""Plan how to take a machine apart and put it back together, in the proven quickest order."""

__version__ = "0.1.0"
