"""The program's version; the wheel takes it from here."""

__version__ = "0.1.0"
