"""A desktop companion for shooting real ice cream."""

import os

__version__ = "0.2.0"

# Session files are read by this program alone, and looking for plugins slows the opening.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
