"""Torques, judgements and wrenches as data."""
