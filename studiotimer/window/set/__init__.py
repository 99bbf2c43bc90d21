"""The Set page and its crew screen."""
