"""Trial days: a shoot simulated before the shoot, with people, luck and ice cream drawn anew each day."""
