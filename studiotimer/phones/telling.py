"""What the server knows from the window: the phones there are, their rights, the news, and who waits for an answer."""

from __future__ import annotations

import asyncio
import hashlib
import hmac
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from studiotimer.phones.link import Message
from studiotimer.session.calls.rights import RIGHTS, Right, why_not

LIVE_S = 2.5
"""How long after it asked for news a phone counts as live."""

Said = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Known:
    """A phone as the server knows it."""

    id: str
    name: str
    right: Right
    digest: str


class Told:
    """The newest the window told; who waits is woken when it changes."""

    def __init__(self) -> None:
        self.number = 0
        self.phones: dict[str, Known] = {}
        self._gone: set[str] = set()
        """The digests of tokens that were revoked: who still has one guesses nothing."""
        self._news: Said = {}
        self._own: dict[str, list[Said]] = {}
        self._of_right: dict[Right, Said] = {}
        """The news for each right, worked out once for all phones that have it."""
        self._answers: dict[str, Said] = {}
        self._changed = asyncio.Event()
        self._heard: dict[str, float] = {}

    def take(self, message: Message) -> None:
        """Take in a message of the window."""
        match message.get("do"):
            case "news":
                self._news, self._own = dict(message["news"]), dict(message["own"])
                self._of_right = {}
                self.number += 1
            case "phones":
                before = {one.digest for one in self.phones.values()}
                self.phones = {one["id"]: Known(**one) for one in message["phones"] if one["right"] in RIGHTS}
                self._gone |= before - {one.digest for one in self.phones.values()}
                self._heard = {name: at for name, at in self._heard.items() if name in self.phones}
                self.number += 1
            case "answer":
                self._answers[str(message["ticket"])] = dict(message["answer"])
                while len(self._answers) > 16:
                    self._answers.pop(next(iter(self._answers)))
            case _:
                return
        self._changed.set()
        self._changed = asyncio.Event()

    def phone(self, token: str) -> Known | None:
        """Return the phone that has this token."""
        digest, found = _digest(token), None
        for phone in self.phones.values():
            if hmac.compare_digest(phone.digest, digest):
                found = phone
        return found

    def was_phone(self, token: str) -> bool:
        """Whether a phone that was revoked had this token."""
        return _digest(token) in self._gone

    def live(self) -> list[str]:
        """Return the phones that asked for news a moment ago."""
        now = time.monotonic()
        return sorted(name for name, at in self._heard.items() if now - at < LIVE_S)

    def hears(self, phone: Known) -> None:
        """Note that a phone asked for news."""
        self._heard[phone.id] = time.monotonic()

    def news(self, phone: Known) -> Said:
        """Return the news for a phone, with the calls alone that it may make."""
        if phone.right not in self._of_right:
            may = partial(_may, phone.right)
            self._of_right[phone.right] = for_right(self._news, may)
        found = self._of_right[phone.right]
        own = [one for one in self._own.get(phone.id, []) if _may(phone.right, one)]
        calls = [*own, *found.get("calls", [])]
        about = {"number": self.number, "rights": phone.right, "phone": phone.id, "name": phone.name}
        return {**about, **found, "calls": calls}

    async def until(self, there: Callable[[], bool], seconds: float) -> bool:
        """Wait until something is there, no longer than some seconds, and return whether it is."""
        end = asyncio.get_running_loop().time() + seconds
        while not there():
            left = end - asyncio.get_running_loop().time()
            if left <= 0:
                return False
            changed = self._changed
            try:
                async with asyncio.timeout(left):
                    await changed.wait()
            except TimeoutError:
                return there()
        return True

    def answer(self, ticket: str) -> Said | None:
        """Return what the laptop answered a phone that wants to be paired, once; None while it asks."""
        return self._answers.pop(ticket, None)

    def answered(self, ticket: str) -> bool:
        """Whether the laptop has answered."""
        return ticket in self._answers


def _may(right: Right, call: Said) -> bool:
    return why_not(right, call["kind"], call["fields"]) is None


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def for_right(news: Mapping[str, object], may: Callable[[Said], bool]) -> Said:
    """Return news without the calls that a phone may not make: left out of lists, None elsewhere."""

    def refused(value: object) -> bool:
        return isinstance(value, dict) and {"kind", "fields"} <= value.keys() and not may(value)

    def kept(value: object) -> object:
        if isinstance(value, dict):
            return {name: None if refused(one) else kept(one) for name, one in value.items()}
        if isinstance(value, list):
            return [kept(one) for one in value if not refused(one)]
        return value

    return {name: None if refused(one) else kept(one) for name, one in news.items()}
