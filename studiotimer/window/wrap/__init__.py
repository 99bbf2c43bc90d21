"""The Wrap page."""
