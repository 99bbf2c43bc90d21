"""The Wi-Fi between phone and laptop: a TCP relay that can be cut, hold everything up, or delay.

To a port of this machine; or, where none is given, as the proxy of a browser, wherever that connects (CONNECT, RFC 9110
9.3.6), so that addresses and certificates are those of the real server.
"""

from __future__ import annotations

import asyncio
import contextlib
import random
from collections.abc import Awaitable, Callable
from typing import Literal

from tests.phones.looped import Looped


class Relay(Looped):
    """Passes connections on. `mode` "hangs" passes nothing and says nothing, as a radio out of reach; "deaf" no answer.

    `come_from` is the address of this machine that it connects from.
    """

    def __init__(self, port: int | None = None, delay_s: tuple[float, float] = (0.0, 0.0), come_from: str = "") -> None:
        super().__init__("relay")
        self.to, self.delay_s, self.come_from = port, delay_s, come_from
        self.mode: Literal["passes", "hangs", "deaf", "refuses"] = "passes"
        self._pairs: set[asyncio.Task[None]] = set()

    def cut(self) -> None:
        """Nothing passes from now on, and nobody is told."""
        self.mode = "hangs"

    def deafen(self) -> None:
        """Pass on what a phone says, and no answer, from now on."""
        self.mode = "deaf"

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

    async def _serve(self) -> tuple[int, Callable[[], Awaitable[None]]]:
        server = await asyncio.start_server(self._taken, "127.0.0.1", 0)

        async def ended() -> None:
            server.close()

        return server.sockets[0].getsockname()[1], ended

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
            host, port = ("127.0.0.1", self.to) if self.to is not None else await self._asked(reader, writer)
            own = (self.come_from, 0) if self.come_from else None
            back, out = await asyncio.open_connection(host, port, local_addr=own)
            async with asyncio.TaskGroup() as group:
                group.create_task(self._pass(reader, out))
                group.create_task(self._pass(back, writer, ("hangs", "deaf")))
        except (OSError, EOFError, ExceptionGroup, asyncio.CancelledError):
            pass
        finally:
            self._pairs.discard(task)
            for end in (writer, out):
                if end is not None:
                    with contextlib.suppress(OSError, RuntimeError):
                        end.transport.abort()

    async def _asked(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> tuple[str, int]:
        """Return where a browser wants to be connected to, and say that it is."""
        asked = (await reader.readuntil(b"\r\n\r\n")).decode()
        method, where, _ = asked.splitlines()[0].split()
        if method != "CONNECT":
            raise ConnectionResetError
        writer.write(b"HTTP/1.1 200 OK\r\n\r\n")
        host, _, port = where.rpartition(":")
        return host, int(port)

    async def _pass(
        self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, held: tuple[str, ...] = ("hangs",)
    ) -> None:
        while data := await reader.read(65536):
            while self.mode in held:
                await asyncio.sleep(0.02)
            if self.delay_s[1]:
                await asyncio.sleep(random.uniform(*self.delay_s))
            writer.write(data)
            await writer.drain()
        raise ConnectionResetError
