"""The server's two ways to the window: it hears lines on its input, and asks through the call socket."""

from __future__ import annotations

import asyncio
import json
import os
import sys
from collections.abc import Callable, Mapping
from typing import Any, TypeAlias

from studiotimer.errors import NoWindowError
from studiotimer.session.peer import LONGEST_MESSAGE, socket_name

PATIENCE_S = 20.0  # the laptop answers in milliseconds; longer it is gone
LONGEST_LINE = 4 << 20  # far above a shoot's whole news (own rule)
Message: TypeAlias = Mapping[str, Any]
"""What window and server tell each other, from JSON: each knows the fields of what it is told."""

AT_ONCE = 8
"""How many questions are put to the window at once."""


class Link:
    """Asks the window. `key` is what the window gave the server to be known by."""

    def __init__(self, key: str) -> None:
        self._key = key
        self._turns = asyncio.Semaphore(AT_ONCE)

    async def ask(self, do: str, **message: object) -> dict[str, object]:
        """Return the window's answer to a message; raises NoWindowError."""
        line = json.dumps({"phones": self._key, "do": do, **message}).encode() + b"\n"
        if len(line) > LONGEST_MESSAGE:
            return {"refused": "that is too long"}
        try:
            async with self._turns, asyncio.timeout(PATIENCE_S):
                answer = json.loads(await _through(line))
        except (OSError, ValueError, TimeoutError):
            raise NoWindowError("the laptop did not answer") from None
        return answer if isinstance(answer, dict) else {}


async def _through(line: bytes) -> bytes:
    """Send a line through the call socket and return the line that comes back."""
    if sys.platform == "win32":
        reader = asyncio.StreamReader(limit=LONGEST_MESSAGE)
        loop = asyncio.get_running_loop()
        assert isinstance(loop, asyncio.ProactorEventLoop)
        protocol = asyncio.StreamReaderProtocol(reader)
        transport, _ = await loop.create_pipe_connection(lambda: protocol, rf"\\.\pipe\{socket_name()}")
        writer = asyncio.StreamWriter(transport, protocol, reader, loop)
    else:
        reader, writer = await asyncio.open_unix_connection(socket_name(), limit=LONGEST_MESSAGE)
    try:
        writer.write(line)
        return await reader.readline()
    finally:
        writer.close()


def hear(tell: Callable[[Message], object], ended: Callable[[], object]) -> None:
    """Tell what the window writes on this process's input, a JSON object a line, until it ends; blocks its thread."""
    with os.fdopen(os.dup(sys.stdin.fileno()), "rb") as lines:
        while line := lines.readline(LONGEST_LINE):
            try:
                message = json.loads(line)
            except ValueError:
                continue
            if isinstance(message, dict):
                tell(message)
    ended()
