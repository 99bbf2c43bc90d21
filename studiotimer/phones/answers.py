"""What the server answers: one static page, and a few small requests that only that page can make."""

from __future__ import annotations

import asyncio
import json
import time
from collections.abc import Awaitable, Callable, Mapping
from pathlib import Path

from aiohttp import web

from studiotimer.errors import NoWindowError, PeerError
from studiotimer.phones.door import Door, Manners
from studiotimer.phones.link import Link
from studiotimer.phones.telling import Known, Told
from studiotimer.session.calls.rights import why_not
from studiotimer.session.clock import steady_seconds

LARGEST_BODY = 4096  # a call has some 300 bytes
BODY_S, PAIR_S, NEWS_S = 5.0, 20.0, 1.0
"""How long a body may take to come, the laptop's answer to a pairing, and news that there is none."""
PAGE = Path(__file__).with_name("page")
KINDS = {".html": "text/html", ".css": "text/css", ".js": "text/javascript"}
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; "
    "img-src 'self' data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "Cache-Control": "no-store",
    "Server": "",
}
ENDED = "This phone is not paired any more."
NO_LAPTOP = "The laptop does not answer."

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class RefusedError(PeerError):
    """A request that is not answered; the message is why, `status` the HTTP status."""

    def __init__(self, status: int, words: str, **more: object) -> None:
        super().__init__(words)
        self.status, self.more = status, more


class Answers:
    """Answers requests at one origin, `https://host`."""

    def __init__(self, host: str, told: Told, link: Link, manners: Manners) -> None:
        self._host, self._told, self._link, self._manners = host, told, link, manners
        self.door: Door | None = None
        self._files = page_files()

    def app(self) -> web.Application:
        """Return the application."""
        app = web.Application(middlewares=[self._guarded], client_max_size=LARGEST_BODY)
        app.router.add_get("/news", self._news)
        for path, handler in (
            ("/pair", self._pair), ("/pair/answer", self._pair_answer), ("/clock", self._clock),
            ("/call", self._call), ("/seen", self._seen),
        ):  # fmt: skip
            app.router.add_post(path, handler)
        for path in self._files:
            app.router.add_get(path, self._file)
        return app

    @web.middleware
    async def _guarded(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Answer what is asked properly; say in one sentence why anything else is not."""
        protocol = request.protocol
        if self.door is not None:
            self.door.began(protocol)
        try:
            self._check(request)
            response = await handler(request)
        except RefusedError as refused:
            response = _json({"refused": str(refused), **refused.more}, refused.status)
            if refused.status == 429:
                response.force_close()
        except web.HTTPException as error:
            response = _json({"refused": "There is nothing of that kind here."}, error.status)
        except NoWindowError:
            response = _json({"refused": NO_LAPTOP}, 503)
        finally:
            if self.door is not None:
                self.door.answered(protocol)
        response.headers.update(HEADERS)
        return response

    def _check(self, request: web.Request) -> None:
        if not self._manners.may_ask(_from(request)):
            raise RefusedError(429, "That is too many requests; wait a moment.")
        headers = request.headers
        if headers.getall("Host", []) != [self._host]:
            raise RefusedError(421, "This address is not served here.")
        origin, site = headers.get("Origin"), headers.get("Sec-Fetch-Site")
        posts = request.method == "POST"
        if (origin is not None or posts) and origin != f"https://{self._host}":
            raise RefusedError(403, "Only the page of this address may ask that.")
        if site not in (None, "same-origin", "none") and (posts or request.path not in self._files):
            raise RefusedError(403, "Only the page of this address may ask that.")
        if request.query_string and request.path != "/news":
            raise RefusedError(400, "Nothing is asked in an address here.")
        if posts and request.content_type != "application/json":
            raise RefusedError(415, "A request is JSON.")

    async def _file(self, request: web.Request) -> web.StreamResponse:
        data, kind = self._files[request.path]
        return web.Response(body=data, content_type=kind, charset="utf-8")

    async def _pair(self, request: web.Request) -> web.StreamResponse:
        self._may_try(request)
        body = await _body(request)
        answer = await self._link.ask("pair", secret=body.get("secret"), name=body.get("name"), address=_from(request))
        if "ticket" not in answer:
            if answer.get("wrong"):
                self._manners.was_wrong(_from(request))
            raise RefusedError(403, str(answer.get("refused", NO_LAPTOP)))
        self._manners.was_right(_from(request))
        return _json({"ticket": answer["ticket"]}, 202)

    async def _pair_answer(self, request: web.Request) -> web.StreamResponse:
        self._may_try(request)
        ticket = str((await _body(request)).get("ticket"))
        await self._told.until(lambda: self._told.answered(ticket), PAIR_S)
        answer = self._told.answer(ticket) or {"answer": "asked"}
        if "token" in answer:
            self._manners.was_phone(_from(request))
        return _json(answer)

    async def _clock(self, request: web.Request) -> web.StreamResponse:
        self._phone(request)
        return _json({"steady": steady_seconds()})

    async def _news(self, request: web.Request) -> web.StreamResponse:
        phone, _ = self._phone(request)
        after = request.query.get("after", "")
        number = int(after) if after.isdecimal() and len(after) < 16 else -1
        self._told.hears(phone)
        changed = await self._told.until(lambda: self._told.number != number, NEWS_S)
        phone, _ = self._phone(request)
        self._told.hears(phone)
        now = steady_seconds()
        if not changed:
            return _json({"number": number, "steady": now, "same": True})
        wall = {"steady": now, "wall": time.strftime("%H:%M:%S"), "wall_of_steady": time.time()}
        return _json({**self._told.news(phone), **wall})

    async def _call(self, request: web.Request) -> web.StreamResponse:
        phone, token = self._phone(request)
        body = await _body(request)
        kind, fields = body.get("kind"), body.get("fields")
        if not isinstance(kind, str) or not isinstance(fields, dict):
            raise RefusedError(400, "A call has its kind and its fields.")
        if (why := why_not(phone.right, kind, fields)) is not None:
            raise RefusedError(403, why)
        wanted = {name: body.get(name) for name in ("id", "kind", "fields", "at", "late", "another")}
        answer = await self._link.ask("call", token=token, call=wanted)
        if answer.get("ended"):
            raise RefusedError(401, ENDED, ended=True)
        return _json(answer, 409 if "refused" in answer else 200)

    async def _seen(self, request: web.Request) -> web.StreamResponse:
        _, token = self._phone(request)
        body = await _body(request)
        await self._link.ask("seen", token=token, cue=str(body.get("cue"))[:64])
        return _json({})

    def _phone(self, request: web.Request) -> tuple[Known, str]:
        """Return the phone that asks, and its token."""
        scheme, _, token = request.headers.get("Authorization", "").partition(" ")
        phone = self._told.phone(token) if scheme == "Bearer" and token else None
        if phone is None:
            if not self._told.was_phone(token):
                self._may_try(request)
                self._manners.was_wrong(_from(request))
            raise RefusedError(401, ENDED, ended=True)
        self._manners.was_phone(_from(request))
        return phone, token

    def _may_try(self, request: web.Request) -> None:
        wait = self._manners.waits_s(_from(request))
        if wait > 0:
            raise RefusedError(429, f"Too many wrong tries; wait {wait:.0f} s.")


def page_files() -> dict[str, tuple[bytes, str]]:
    """Return what is served, by its path: the page's own files, read once, each with its type; there is no other."""
    found = {f"/{one.name}": (one.read_bytes(), KINDS[one.suffix]) for one in PAGE.iterdir() if one.suffix in KINDS}
    found["/"] = found.pop("/index.html")
    return found


def _from(request: web.Request) -> str:
    peer = request.transport.get_extra_info("peername") if request.transport is not None else None
    return str(peer[0]) if peer else "?"


async def _body(request: web.Request) -> dict[str, object]:
    try:
        async with asyncio.timeout(BODY_S):
            body = json.loads(await request.read())
    except TimeoutError:
        raise RefusedError(408, "The request did not come to its end.") from None
    except (ValueError, RecursionError):
        raise RefusedError(400, "A request is one JSON object.") from None
    if not isinstance(body, dict):
        raise RefusedError(400, "A request is one JSON object.")
    return body


def _json(answer: Mapping[str, object], status: int = 200) -> web.Response:
    text = json.dumps(answer, ensure_ascii=False, separators=(",", ":"))
    return web.Response(text=text, status=status, content_type="application/json")
