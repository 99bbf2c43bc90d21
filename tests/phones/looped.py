"""A server of the tests on a loop in a thread of its own, for as long as a `with` lasts."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Awaitable, Callable
from typing import Self

PATIENCE_S = 30


class Looped:
    """Begins to serve with `with` and is cleaned up at its end; `port` is known by then."""

    def __init__(self, name: str) -> None:
        self.port = 0
        self._loop = asyncio.new_event_loop()
        self._ready = threading.Event()
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        assert self._ready.wait(PATIENCE_S)
        return self

    def __exit__(self, *_: object) -> None:
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join(PATIENCE_S)

    async def _serve(self) -> tuple[int, Callable[[], Awaitable[None]]]:
        """Begin to serve; return the port, and what ends it."""
        raise NotImplementedError

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        self.port, ended = self._loop.run_until_complete(self._serve())
        self._ready.set()
        self._loop.run_forever()
        self._loop.run_until_complete(ended())
        left = asyncio.all_tasks(self._loop)
        for task in left:
            task.cancel()
        self._loop.run_until_complete(asyncio.gather(*left, return_exceptions=True))
        self._loop.close()
