"""The Wi-Fi between phone and laptop: a TCP relay that can be cut, hold everything up, or delay."""

from __future__ import annotations

import asyncio
import contextlib
import random
import threading
from typing import Literal


class Relay:
    """Passes connections on to a port. `mode` "hangs" passes nothing and says nothing, as a radio out of reach."""

    def __init__(self, port: int, delay_s: tuple[float, float] = (0.0, 0.0)) -> None:
        self.to, self.port, self.delay_s = port, 0, delay_s
        self.mode: Literal["passes", "hangs", "refuses"] = "passes"
        self._pairs: set[asyncio.Task[None]] = set()
        self._loop = asyncio.new_event_loop()
        self._ready = threading.Event()
        self._thread = threading.Thread(target=self._run, name="relay", daemon=True)

    def __enter__(self) -> Relay:
        self._thread.start()
        assert self._ready.wait(30)
        return self

    def __exit__(self, *_: object) -> None:
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join(30)

    def cut(self) -> None:
        """Nothing passes from now on, and nobody is told."""
        self.mode = "hangs"

    def back(self) -> None:
        """Pass again; what hung before is gone, as after a new association."""
        self.mode = "passes"
        self._loop.call_soon_threadsafe(self._end_all)

    def drop(self) -> None:
        """Refuse everything, and end what is open."""
        self.mode = "refuses"
        self._loop.call_soon_threadsafe(self._end_all)

    def _end_all(self) -> None:
        for task in list(self._pairs):
            task.cancel()

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        server = self._loop.run_until_complete(asyncio.start_server(self._taken, "127.0.0.1", 0))
        self.port = server.sockets[0].getsockname()[1]
        self._ready.set()
        self._loop.run_forever()
        server.close()
        left = asyncio.all_tasks(self._loop)
        for task in left:
            task.cancel()
        self._loop.run_until_complete(asyncio.gather(*left, return_exceptions=True))
        self._loop.close()

    async def _taken(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        task = asyncio.current_task()
        assert task is not None
        self._pairs.add(task)
        out = None
        try:
            while self.mode == "hangs":
                await asyncio.sleep(0.02)
            if self.mode == "refuses":
                return
            back, out = await asyncio.open_connection("127.0.0.1", self.to)
            async with asyncio.TaskGroup() as group:
                group.create_task(self._pass(reader, out))
                group.create_task(self._pass(back, writer))
        except (OSError, ExceptionGroup, asyncio.CancelledError):
            pass
        finally:
            self._pairs.discard(task)
            for end in (writer, out):
                if end is not None:
                    with contextlib.suppress(OSError, RuntimeError):
                        end.transport.abort()

    async def _pass(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        while data := await reader.read(65536):
            while self.mode == "hangs":
                await asyncio.sleep(0.02)
            if self.delay_s[1]:
                await asyncio.sleep(random.uniform(*self.delay_s))
            writer.write(data)
            await writer.drain()
        raise ConnectionResetError
