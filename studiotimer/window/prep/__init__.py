"""The Prep page."""
