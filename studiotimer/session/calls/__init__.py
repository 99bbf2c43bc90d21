"""The calls: one record a kind, in a small module for each group of them."""
