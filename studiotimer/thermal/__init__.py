"""The physics: pure functions and arrays, no Qt, no files."""
