"""The server's process: it opens where the window says, tells the window how it is, and is gone with the window."""

from __future__ import annotations

import asyncio
import datetime as dt
import os
import socket
import ssl
from contextlib import suppress
from pathlib import Path

from aiohttp import web

from studiotimer.errors import NoWindowError
from studiotimer.phones.answers import Answers
from studiotimer.phones.certificate import certificate_for
from studiotimer.phones.door import Door, Manners
from studiotimer.phones.link import Link, Message, hear
from studiotimer.phones.telling import Told
from studiotimer.plain import reason
from studiotimer.working import Worker, nobody, raised

BACKLOG = 512
"""So many connections wait to be taken, so that a flood leaves a phone's own a place among them."""
PORTS = 8
"""How many ports are tried, the wanted one first."""
LOOK_S, TELL_S = 0.5, 4.0
"""How often the window is told of what changed, and how often also of what did not."""
NICER = 10
"""This process gives way to the window."""


class Serving:
    """The server, from the first line on its input to the last."""

    def __init__(self) -> None:
        self._told = Told()
        self._manners = Manners()
        self._opened: asyncio.Future[Message] = asyncio.get_running_loop().create_future()
        self._over = asyncio.Event()

    async def run(self) -> None:
        """Serve until the window ends, or says so."""
        loop = asyncio.get_running_loop()
        lines = Worker("what the window says")
        lines.ask(
            "lines",
            lambda: hear(
                lambda message: loop.call_soon_threadsafe(self._hear, message),
                lambda: loop.call_soon_threadsafe(self._end),
            ),
            nobody,
            raised,
        )
        opening = asyncio.ensure_future(self._open())
        await self._over.wait()
        opening.cancel()

    def _hear(self, message: Message) -> None:
        if message.get("do") == "open" and not self._opened.done():
            self._opened.set_result(message)
        elif message.get("do") == "end":
            self._end()
        else:
            self._told.take(message)

    def _end(self) -> None:
        self._over.set()

    async def _open(self) -> None:
        wanted = await self._opened
        link = Link(str(wanted["key"]))
        try:
            await self._serve(wanted, link)
        except OSError as error:
            with suppress(NoWindowError):
                await link.ask("failed", why=reason(error))
            self._end()

    async def _serve(self, wanted: Message, link: Link) -> None:
        address = str(wanted["address"])
        path, seal = certificate_for(Path(str(wanted["folder"])), address, dt.datetime.now(dt.UTC))
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.minimum_version = ssl.TLSVersion.TLSv1_2
        context.load_cert_chain(path)
        context.set_alpn_protocols(["http/1.1"])
        listening = _listening(address, int(wanted["port"]))
        port = listening.getsockname()[1]
        answers = Answers(f"{address}:{port}", self._told, link, self._manners)
        runner = web.AppRunner(
            answers.app(), access_log=None, keepalive_timeout=15.0, max_line_size=2048, max_field_size=2048,
            lingering_time=1.0, handle_signals=False,
        )  # fmt: skip
        await runner.setup()
        assert runner.server is not None
        door = answers.door = Door(runner.server, context, self._manners)
        await link.ask("ready", port=port, seal=seal)
        await asyncio.gather(door.open(listening), door.watch(), self._tell(link, door))

    async def _tell(self, link: Link, door: Door) -> None:
        """Tell the window which phones are live, whether any was heard, and who was wrong."""
        last, at = None, 0.0
        loop = asyncio.get_running_loop()
        while True:
            now = {
                "live": self._told.live(), "heard": door.heard, "wrong": self._manners.wrong,
                "slowed": dict(self._manners.slowed),
            }  # fmt: skip
            if now != last or loop.time() - at > TELL_S:
                try:
                    await link.ask("about", **now)
                    last, at = now, loop.time()
                except NoWindowError:
                    last = None
            await asyncio.sleep(LOOK_S)


def _listening(address: str, port: int) -> socket.socket:
    """Return a socket that listens on one address; on a port after the wanted one where that is taken."""
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    refused: OSError | None = None
    for one in range(port, port + PORTS):
        listening = socket.socket(family, socket.SOCK_STREAM)
        try:
            if os.name == "posix":
                listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            listening.bind((address, one))
            listening.listen(BACKLOG)
            listening.setblocking(False)
            return listening
        except OSError as error:
            refused = error
            listening.close()
    assert refused is not None
    raise refused


def main() -> None:
    """Serve; the process ends with the window, whatever is at work in it."""
    if hasattr(os, "nice"):
        with suppress(OSError):
            os.nice(NICER)
    asyncio.run(_main())
    os._exit(0)


async def _main() -> None:
    await Serving().run()
