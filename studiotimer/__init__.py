"""A desktop companion for shooting real ice cream."""

import os

__version__ = "0.1.0"

os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
"""A session file is read by this program alone; looking for plugins would also slow the opening."""
