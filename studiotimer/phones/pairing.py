"""Which phones are paired with an open session: secrets that work once, the laptop's question, tokens and rights.

Kept in the window's memory alone: nothing of it outlives the session. Times are seconds of any steady clock.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Callable
from dataclasses import dataclass, replace

from studiotimer.plain import plain
from studiotimer.session.calls.rights import Right

SECRET_S = 120.0
"""How long the secret of a code works."""
RENEW_S = 90.0
"""How old a secret is when the code shows the next one; the one before works on for its time."""
ASKED_S = 30.0
"""How long the laptop asks before it is No."""
LONGEST_NAME = 20  # letters that fit the question
MOST_PHONES = 12  # a crew has eight at most
UNNAMED = "phone"

NO_SECRET = "That code has been used or is too old. Read the one the laptop shows now."
BUSY = "The laptop is asking about another phone. Try again in a moment."
FULL = f"{MOST_PHONES} phones are paired already; revoke one on the laptop."


@dataclass(frozen=True, slots=True)
class Phone:
    """A paired phone. `calls` are the numbers of the entries it made, `digest` the SHA-256 of its token."""

    id: str
    name: str
    right: Right
    digest: str
    calls: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Question:
    """What the laptop asks about a phone that wants to be paired, until a moment."""

    ticket: str
    name: str
    until: float


@dataclass(frozen=True, slots=True)
class Paired:
    """A phone and its token, which is told to it once and kept nowhere."""

    phone: Phone
    token: str


def digest_of(token: str) -> str:
    """Return what is kept of a token."""
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def phone_name(text: object) -> str:
    """Return what a phone is called: plain text of at most 20 letters."""
    return plain(text if isinstance(text, str) else "")[:LONGEST_NAME].strip() or UNNAMED


class Phones:
    """The phones of a session. `now` is the clock's time in seconds."""

    def __init__(self, now: Callable[[], float]) -> None:
        self._now = now
        self._secrets: dict[str, float] = {}
        """The digest of each secret that works, and until when."""
        self._latest: tuple[str, float] | None = None
        self._phones: dict[str, Phone] = {}
        self._named = 0
        self.question: Question | None = None

    def secret(self) -> str:
        """Return the secret that the code shows now; a new one where the last is used or near its end."""
        now = self._now()
        if self._latest is not None:
            text, made = self._latest
            if digest_of(text) in self._secrets and now - made < RENEW_S:
                return text
        text = secrets.token_urlsafe(24)
        self._secrets = {one: until for one, until in self._secrets.items() if until > now}
        self._secrets[digest_of(text)] = now + SECRET_S
        self._latest = (text, now)
        return text

    def forget_secrets(self) -> None:
        """Let no code that was shown work any more."""
        self._secrets, self._latest = {}, None

    def ask(self, secret: object, name: object) -> Question | str:
        """Return the question about a phone that gave a secret, which works no more; or why there is none."""
        now = self._now()
        digest = digest_of(secret) if isinstance(secret, str) else ""
        if self._secrets.get(digest, -1.0) <= now:
            return NO_SECRET
        if self.lapsed() is None and self.question is not None:
            return BUSY
        if len(self._phones) >= MOST_PHONES:
            return FULL
        del self._secrets[digest]
        self.question = Question(secrets.token_urlsafe(16), self._free_name(phone_name(name)), now + ASKED_S)
        return self.question

    def lapsed(self) -> Question | None:
        """Return the question nobody answered in time, which is then No; None while there is none such."""
        question = self.question
        if question is None or self._now() < question.until:
            return None
        self.question = None
        return question

    def answer(self, right: Right | None) -> Paired | None:
        """Answer the question that is asked, None being No, and return the phone that was paired."""
        question, self.question = self.question, None
        if question is None or right is None or self._now() >= question.until:
            return None
        token = secrets.token_urlsafe(32)
        self._named += 1
        phone = Phone(f"p{self._named}", question.name, right, digest_of(token))
        self._phones[phone.id] = phone
        return Paired(phone, token)

    def all(self) -> list[Phone]:
        """Return every phone, in the order they were paired."""
        return list(self._phones.values())

    def of(self, token: object) -> Phone | None:
        """Return the phone that has this token."""
        digest = digest_of(token) if isinstance(token, str) else ""
        found = None
        for phone in self._phones.values():
            if hmac.compare_digest(phone.digest, digest):
                found = phone
        return found

    def revoke(self, phone: str) -> None:
        """Let a phone's token work no more."""
        self._phones.pop(phone, None)

    def call_it(self, phone: str, name: str) -> None:
        """Give a phone another name."""
        known = self._phones.get(phone)
        if known is not None and phone_name(name) != known.name:
            self._phones[phone] = replace(known, name=self._free_name(phone_name(name)))

    def made(self, phone: str, entry: int) -> None:
        """Note that a phone made an entry."""
        known = self._phones.get(phone)
        if known is not None and entry not in known.calls:
            self._phones[phone] = replace(known, calls=(*known.calls, entry))

    def _free_name(self, name: str) -> str:
        """Return a name that no phone has: with a number after it where one has."""
        taken = {phone.name for phone in self._phones.values()}
        free, number = name, 2
        while free in taken:
            tail = f" {number}"
            free, number = name[: LONGEST_NAME - len(tail)].rstrip() + tail, number + 1
        return free
