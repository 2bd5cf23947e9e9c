"""The routes of the page."""
