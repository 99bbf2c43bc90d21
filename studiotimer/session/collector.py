"""Making very many objects at once without the collector counting them over and over."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def no_collection() -> Iterator[None]:
    """Keep the garbage collector from running inside the block; what is made there lives on anyway."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


@contextmanager
def lasting() -> Iterator[None]:
    """Keep the collector from running inside the block, and from ever looking at what is there at its end.

    For what lives as long as the program: later collections take no time over it.
    """
    with no_collection():
        yield
        gc.freeze()
