"""The day after: what happened and what to do differently."""
