"""Machines as data: those of the library, and what two of them have differently."""
