"""A desktop companion for shooting real ice cream."""

import os
import sys
from collections.abc import Sequence
from importlib.machinery import ModuleSpec, PathFinder
from importlib.util import LazyLoader

__version__ = "0.2.0"

# Session files are read by this program alone, and looking for plugins slows the opening.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")


class _Later(PathFinder):
    """Has what pydantic imports for fields and plugins that we have none of loaded once it is used."""

    NAMES = ("secrets", "importlib.metadata._adapters")
    """They bring OpenSSL, 3 MiB, and the standard library's email, 1 % of an opening."""

    @classmethod
    def find_spec(cls, name: str, path: Sequence[str] | None = None, *_: object) -> ModuleSpec | None:
        spec = PathFinder.find_spec(name, path) if name in cls.NAMES else None
        if spec is not None and spec.loader is not None:
            spec.loader = LazyLoader(spec.loader)
        return spec


sys.meta_path.insert(0, _Later)
