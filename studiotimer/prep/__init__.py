"""The days before: the plan and what follows from it."""
