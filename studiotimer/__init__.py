"""A desktop companion for shooting real ice cream."""

import os
import sys
from importlib.machinery import ModuleSpec, PathFinder
from importlib.util import LazyLoader

__version__ = "0.2.0"

# Session files are read by this program alone, and looking for plugins slows the opening.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")


class _Later(PathFinder):
    """Has `secrets` loaded once it is used: it brings OpenSSL, 3 MiB, for fields of pydantic that we have none of."""

    @classmethod
    def find_spec(cls, name: str, *_: object) -> ModuleSpec | None:
        spec = PathFinder.find_spec(name) if name == "secrets" else None
        if spec is not None and spec.loader is not None:
            spec.loader = LazyLoader(spec.loader)
        return spec


sys.meta_path.insert(0, _Later)
