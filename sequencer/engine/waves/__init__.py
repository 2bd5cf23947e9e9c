"""Searches over states, all visits of a kind at a time, and local searches on whole orders."""
