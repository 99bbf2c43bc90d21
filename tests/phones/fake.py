"""A small laptop for tests of the phones' page: it speaks as the phones' server does, and does as it is told."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Awaitable, Callable
from datetime import datetime
from pathlib import Path
from typing import Any

from aiohttp import web

import studiotimer
from tests.phones.looped import Looped
from tests.phones.states import shoot

PAGE = Path(studiotimer.__file__).parent / "phones" / "page"
CSP = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self' data:; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'"
)
TYPES = {".html": "text/html", ".css": "text/css", ".js": "text/javascript"}
AHEAD_S = 5000.0
"""How far the laptop's steady clock is ahead of this machine's, so that a page that shows its own is found out."""


class Fake(Looped):
    """A laptop with one shoot. Its attributes may be changed while it works."""

    def __init__(self) -> None:
        super().__init__("fake laptop")
        self.secret, self.answer, self.rights = "s3cr3t-of-this-code", "yes", "assistant"
        self.tokens: dict[str, str] = {}
        self.state: dict[str, Any] = shoot(self.steady())
        self.number = 1
        self.disk: dict[str, int] = {}
        self.calls: list[dict[str, Any]] = []
        self.seen: list[str] = []
        self.requests: list[tuple[str, dict[str, str]]] = []
        self.disk_s = 0.0
        """How long the disk takes."""
        self.lose = 0
        """How many answers to calls get lost after their entry was written."""
        self.refuse = self.asks = ""
        self.same: int | None = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}/"

    def steady(self) -> float:
        return time.monotonic() + AHEAD_S

    def tell(self, **news: Any) -> None:
        """Change the state and have phones hear of it."""
        self.state = {**self.state, **news}
        self.number += 1

    async def _serve(self) -> tuple[int, Callable[[], Awaitable[None]]]:
        runner = web.AppRunner(self._app(), access_log=None, shutdown_timeout=0.1)
        await runner.setup()
        await web.TCPSite(runner, "127.0.0.1", 0).start()
        return runner.addresses[0][1], runner.cleanup

    def _app(self) -> web.Application:
        app = web.Application(middlewares=[self._written])
        app.add_routes([
            web.post("/pair", self._pair), web.post("/pair/answer", self._answer), web.post("/clock", self._clock),
            web.get("/news", self._news), web.post("/call", self._call), web.post("/seen", self._seen),
            web.get("/", self._file), web.get("/{name}", self._file),
        ])  # fmt: skip
        return app

    @web.middleware
    async def _written(self, request: web.Request, handler: Any) -> web.StreamResponse:
        self.requests.append((request.path_qs, dict(request.headers)))
        reply: web.StreamResponse = await handler(request)
        reply.headers["Content-Security-Policy"] = CSP
        reply.headers["Cache-Control"] = "no-store"
        return reply

    async def _file(self, request: web.Request) -> web.Response:
        path = PAGE / (request.match_info.get("name") or "index.html")
        if path.parent != PAGE or not path.is_file():
            return web.Response(status=404)
        return web.Response(body=path.read_bytes(), content_type=TYPES[path.suffix], charset="utf-8")

    async def _pair(self, request: web.Request) -> web.Response:
        asked = await request.json()
        if asked["secret"] != self.secret:
            return web.json_response({"refused": "This code is used up; have a new one shown."}, status=403)
        return web.json_response({"ticket": asked["name"]}, status=202)

    async def _answer(self, request: web.Request) -> web.Response:
        name = (await request.json())["ticket"]
        for _ in range(40):
            if self.answer != "asked":
                break
            await asyncio.sleep(0.05)
        if self.answer != "yes":
            return web.json_response({"answer": self.answer, "words": "Nobody said yes within 30 s."})
        token = f"token-{len(self.tokens)}"
        self.tokens[token] = name
        return web.json_response(
            {"answer": "yes", "token": token, "phone": f"p{len(self.tokens)}", "rights": self.rights, "name": name}
        )

    def _stranger(self, request: web.Request) -> web.Response | None:
        if request.headers.get("Authorization", "").removeprefix("Bearer ") in self.tokens:
            return None
        return web.json_response({"refused": "This phone was shut out at the laptop.", "ended": True}, status=401)

    async def _clock(self, request: web.Request) -> web.Response:
        return self._stranger(request) or web.json_response({"steady": self.steady()})

    async def _news(self, request: web.Request) -> web.Response:
        after, until = request.query["after"], time.monotonic() + 0.9
        while not (stranger := self._stranger(request)) and after == str(self.number) and time.monotonic() < until:
            await asyncio.sleep(0.01)
        if stranger:
            return stranger
        now, number = self.steady(), self.number
        if after == str(number):
            return web.json_response({"number": number, "steady": now, "same": True})
        wall = time.time()
        said = {
            "number": number, "wall": datetime.fromtimestamp(wall).strftime("%H:%M:%S"), "wall_of_steady": wall,
            "rights": self.rights,
        }  # fmt: skip
        return web.json_response({**self.state, **said, "steady": now})

    async def _call(self, request: web.Request) -> web.Response:
        if stranger := self._stranger(request):
            return stranger
        asked = await request.json()
        self.calls.append(asked)
        await asyncio.sleep(0.0 if asked["id"] in self.disk else self.disk_s)
        if self.refuse:
            return web.json_response({"refused": self.refuse}, status=409)
        if asked["id"] not in self.disk:
            if asked.get("late") and not asked.get("another"):
                return web.json_response(
                    {"asks": self.asks or "Nothing like it was logged since. Log it?", "same": self.same}
                )
            self.disk[asked["id"]] = len(self.disk) + 1
        if self.lose:
            self.lose -= 1
            assert request.transport is not None
            request.transport.abort()
        fields = asked["fields"]
        words = (
            f"14 pulled, {fields['flavour']}"
            if asked["kind"] == "pull"
            else f"{asked['kind']} {fields.get('scoop', '')}"
        )
        return web.json_response({"on_disk": True, "entry": self.disk[asked["id"]], "words": words, "wall": "10:31:57"})

    async def _seen(self, request: web.Request) -> web.Response:
        if stranger := self._stranger(request):
            return stranger
        self.seen.append((await request.json())["cue"])
        cue = self.state["cue"]
        if cue is not None and cue["id"] == self.seen[-1]:
            self.tell(cue={**cue, "seen": True}, sound=None)
        return web.json_response({})
