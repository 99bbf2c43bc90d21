"""Who is let in: connections are counted, those that say nothing are put out, and who guesses is slowed down."""

from __future__ import annotations

import asyncio
import contextlib
import math
import socket
import ssl
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field

MOST, MOST_OF_ONE = 96, 16
"""How many connections of strangers there are at once, and how many from one address, a paired phone's too."""
HANDSHAKE_S, SILENT_S, LOOK_S = 5.0, 8.0, 1.0
"""How long a handshake may take, how long a connection may be without a whole request, and how often that is seen."""
BUSY_S = 40.0
"""How long one request may take, its answer read."""
REQUESTS_S, BURST = 40.0, 120.0
"""How many requests a second an address may make for long, and how many at once."""
ARRIVALS_S, ARRIVALS = 10.0, 40.0
"""How many connections a second an address may begin for long, and how many at once; a handshake costs most of all."""
BREATH, BREATH_S = 32, 0.01
"""After so many connections in a row that there is no room for, this process rests so long."""
FREE_TRIES, FIRST_WAIT_S, LONGEST_WAIT_S = 4, 1.0, 60.0
"""Wrong secrets and tokens that cost nothing, and how long the address waits after the next: twice as long each."""
FORGOTTEN_S = 600.0
"""How long it is remembered that a paired phone asked from an address, and that one was wrong."""
MOST_KNOWN = 1024  # addresses: more than a studio's network has, and some 100 kB


class Allowance:
    """So many at once, and so many a second for long; `at` is the second it begins."""

    def __init__(self, most: float, each_s: float, at: float) -> None:
        self._most, self._each_s = most, each_s
        self._left, self._at = most, at

    def take(self, now: float) -> bool:
        """Return whether there is one more at a second; counts it."""
        self._left = min(self._most, self._left + (now - self._at) * self._each_s)
        self._at = now
        if self._left < 1.0:
            return False
        self._left -= 1.0
        return True


class _Of:
    """What is known of an address: its requests, its wrong tries, until when it waits, and when a phone asked there."""

    def __init__(self, now: float) -> None:
        self.requests = Allowance(BURST, REQUESTS_S, now)
        self.arrivals = Allowance(ARRIVALS, ARRIVALS_S, now)
        self.seen = now
        self.wrong = 0
        self.until = 0.0
        self.phone = -math.inf


class Manners:
    """How often each address asks, and how often it was wrong. Seconds of `now`'s clock."""

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        self._now = now
        self._known: dict[str, _Of] = {}
        self.wrong = 0
        """How many wrong secrets and tokens there were."""
        self.slowed: dict[str, int] = {}
        """The addresses that were slowed down, with how often each was wrong."""

    def may_ask(self, address: str) -> bool:
        """Whether an address may make one more request now; counts it."""
        return self._of(address).requests.take(self._now())

    def may_come(self, address: str) -> bool:
        """Whether an address may begin one more connection now; counts it. Where a paired phone is it always may."""
        return self.is_phones(address) or self._of(address).arrivals.take(self._now())

    def is_phones(self, address: str) -> bool:
        """Whether a paired phone asked from an address not long ago."""
        known = self._known.get(address)
        return known is not None and self._now() - known.phone < FORGOTTEN_S

    def was_phone(self, address: str) -> None:
        """Note that a paired phone asked from an address."""
        self._of(address).phone = self._now()

    def waits_s(self, address: str) -> float:
        """Return for how long an address has to wait before it may try a secret or a token again."""
        return max(self._of(address).until - self._now(), 0.0)

    def was_wrong(self, address: str) -> None:
        """Count a wrong secret or token."""
        one = self._of(address)
        one.wrong += 1
        self.wrong += 1
        if one.wrong > FREE_TRIES:
            wait = min(FIRST_WAIT_S * 2.0 ** min(one.wrong - FREE_TRIES - 1, 10), LONGEST_WAIT_S)
            one.until = self._now() + wait
            if len(self.slowed) < MOST_OF_ONE or address in self.slowed:
                self.slowed[address] = one.wrong

    def was_right(self, address: str) -> None:
        """Forget the wrong tries of an address that was right."""
        self._of(address).wrong = 0

    def _of(self, address: str) -> _Of:
        now = self._now()
        if address not in self._known:
            if len(self._known) >= MOST_KNOWN:
                self._known = {name: one for name, one in self._known.items() if now - one.seen < FORGOTTEN_S}
                while len(self._known) >= MOST_KNOWN:
                    self._known.pop(min(self._known, key=lambda name: self._known[name].seen))
            self._known[address] = _Of(now)
        self._known[address].seen = now
        return self._known[address]


@dataclass
class _Guest:
    """A connection: from where, since when it is silent, and since when a request of it is at work."""

    address: str
    silent_since: float
    transport: asyncio.BaseTransport | None = None
    protocol: asyncio.BaseProtocol | None = None
    busy_since: float | None = None


@dataclass
class Door:
    """Accepts connections on one address and hands them on, so many and no more; strangers leave room for phones."""

    serve: Callable[[], asyncio.BaseProtocol]
    context: ssl.SSLContext
    manners: Manners
    guests: list[_Guest] = field(default_factory=list)
    heard: bool = False
    """Whether anything has connected at all."""
    _tasks: set[asyncio.Task[None]] = field(default_factory=set)

    async def open(self, listening: socket.socket) -> None:
        """Accept until this is cancelled."""
        loop, refused = asyncio.get_running_loop(), 0
        while True:
            try:
                line, (address, *_) = await loop.sock_accept(listening)
            except OSError:
                await asyncio.sleep(0.1)
                continue
            self.heard = True
            if not self._room_for(address):
                line.close()
                refused += 1
                if refused % BREATH == 0:
                    await asyncio.sleep(BREATH_S)
                continue
            refused = 0
            guest = _Guest(address, time.monotonic())
            self.guests.append(guest)
            task = loop.create_task(self._let_in(guest, line))
            self._tasks.add(task)
            task.add_done_callback(self._tasks.discard)

    async def watch(self) -> None:
        """Put out who says nothing, or takes too long, until this is cancelled."""
        while True:
            await asyncio.sleep(LOOK_S)
            now = time.monotonic()
            for guest in self._there():
                silent = guest.busy_since is None and now - guest.silent_since > SILENT_S
                slow = guest.busy_since is not None and now - guest.busy_since > BUSY_S
                if guest.transport is not None and (silent or slow):
                    _abort(guest.transport)

    def began(self, protocol: asyncio.BaseProtocol) -> None:
        """Note that a whole request of this connection has come."""
        for guest in self.guests:
            if guest.protocol is protocol:
                guest.busy_since = time.monotonic()

    def answered(self, protocol: asyncio.BaseProtocol) -> None:
        """Note that the request was answered."""
        for guest in self.guests:
            if guest.protocol is protocol:
                guest.busy_since, guest.silent_since = None, time.monotonic()

    def _room_for(self, address: str) -> bool:
        there = Counter(guest.address for guest in self._there())
        if there[address] >= MOST_OF_ONE or not self.manners.may_come(address):
            return False
        strangers = sum(many for one, many in there.items() if not self.manners.is_phones(one))
        return self.manners.is_phones(address) or strangers < MOST

    def _there(self) -> list[_Guest]:
        self.guests = [one for one in self.guests if one.transport is None or not one.transport.is_closing()]
        return self.guests

    async def _let_in(self, guest: _Guest, line: socket.socket) -> None:
        try:
            guest.transport, guest.protocol = await asyncio.get_running_loop().connect_accepted_socket(
                self.serve, line, ssl=self.context, ssl_handshake_timeout=HANDSHAKE_S, ssl_shutdown_timeout=1.0
            )
        except (OSError, asyncio.CancelledError):
            line.close()
            with contextlib.suppress(ValueError):
                self.guests.remove(guest)


def _abort(transport: asyncio.BaseTransport) -> None:
    if isinstance(transport, asyncio.WriteTransport):
        transport.abort()
    else:
        transport.close()
