"""A shoot as it happens: entries, the file they are kept in, the state they fold to, countdowns."""
