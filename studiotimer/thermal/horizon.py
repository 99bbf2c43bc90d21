"""How far ahead the model looks."""

HORIZON_S = 3 * 3600.0
"""What does not come within it is said not to come."""
