"""A desktop companion for shooting real ice cream."""

__version__ = "0.1.0"
