"""The window's side of the phones: what the server asks is answered here, the rights of each phone looked at again."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from studiotimer import hops
from studiotimer.phones import offers
from studiotimer.phones.calling import ENDED, Caller, Calls, asked_of
from studiotimer.phones.pairing import BUSY, NO_SECRET, Paired, Phones
from studiotimer.session.calls.rights import Right
from studiotimer.session.clock import steady_seconds

CALLS_S, BURST = 4.0, 12.0
"""How many calls a second a phone may make for long, and how many at once."""
TOO_MANY = "that is more calls than hands can make; wait a moment"

Answer = Callable[[dict[str, object]], None]


@dataclass
class Seen:
    """What the server said last of itself: the port it has, its certificate's print, who is live, who was wrong."""

    port: int | None = None
    seal: str = ""
    failed: str = ""
    heard: bool = False
    live: frozenset[str] = frozenset()
    wrong: int = 0
    slowed: dict[str, int] = field(default_factory=dict)


class Host:
    """Answers the server. `tell` writes to it, `changed` is called when what the laptop shows of phones may differ."""

    def __init__(
        self,
        calls: Calls,
        tell: Callable[[dict[str, object]], None],
        changed: Callable[[], None],
        seen: Callable[[str, str], None],
        steady: Callable[[], float] = steady_seconds,
    ) -> None:
        self.key = secrets.token_urlsafe(16)
        self.phones = Phones(steady)
        self.server = Seen()
        self._calls, self._tell, self._changed, self._seen, self._steady = calls, tell, changed, seen, steady
        self._caller = Caller(calls, self.phones, steady)
        self._waiting: dict[int, list[Answer]] = {}
        self._left: dict[str, tuple[float, float]] = {}

    def take(self, message: Mapping[str, object], answer: Answer) -> None:
        """Answer a message of the server; one of another program that does not know the key is refused."""
        key = message.get("phones")
        if not isinstance(key, str) or not secrets.compare_digest(key.encode(), self.key.encode()):
            answer({"refused": "only the phones' server may ask that"})
            return
        match message.get("do"):
            case "call":
                self._call(message, answer)
                return
            case "pair":
                answer(self._pair(message))
            case "seen":
                answer(self._seen_by(message))
            case "ready":
                port = message.get("port")
                self.server = Seen(port if isinstance(port, int) else None, str(message.get("seal", "")))
                answer({})
            case "failed":
                self.server = Seen(failed=str(message.get("why", ""))[:200])
                answer({})
            case "about":
                self._take_about(message)
                answer({})
            case _:
                answer({"refused": "there is no such thing to ask"})
        self._changed()

    def answer(self, right: Right | None) -> Paired | None:
        """Answer the question about a phone, None being No."""
        question = self.phones.question
        paired = self.phones.answer(right)
        if question is not None:
            self._tell_answer(question.ticket, paired)
        self.tell_phones()
        self._changed()
        return paired

    def look(self) -> None:
        """Answer No where nobody answered in time; to be called about once a second."""
        lapsed = self.phones.lapsed()
        if lapsed is not None:
            self._tell_answer(lapsed.ticket, None, "Nobody answered at the laptop. Read the code again.")
            self._changed()

    def revoke(self, phone: str) -> None:
        """Let a phone go."""
        self.phones.revoke(phone)
        self.tell_phones()
        self._changed()

    def call_it(self, phone: str, name: str) -> None:
        """Give a phone another name."""
        self.phones.call_it(phone, name)
        self.tell_phones()
        self._changed()

    def tell_phones(self) -> None:
        """Tell the server which phones there are."""
        known = [
            {"id": one.id, "name": one.name, "right": one.right, "digest": one.digest} for one in self.phones.all()
        ]
        self._tell({"do": "phones", "phones": known})

    def own(self) -> dict[str, list[offers.Offer]]:
        """Return what each phone may take back."""
        return {one.id: offers.own(self._caller.last_own(one)) for one in self.phones.all()}

    def stored(self, number: int) -> None:
        """Answer whose calls are on disk, up to this entry."""
        for waited in [one for one in self._waiting if one <= number]:
            for answer in self._waiting.pop(waited):
                answer({"on_disk": True, **self._caller.logged(waited)})
                hops.note("calls", "entry %d answered to a phone", waited)

    def troubled(self, why: str | None) -> None:
        """Answer whose calls the disk refuses for now: they are kept, and written when it is back."""
        if why is None:
            return
        for waited in list(self._waiting):
            for answer in self._waiting.pop(waited):
                logged = self._caller.logged(waited)
                answer({**logged, "on_disk": False, "words": f"kept in the laptop, not on disk yet: {why}"})
                hops.note("calls", "entry %d answered to a phone: kept, not on disk yet", waited)

    def _call(self, message: Mapping[str, object], answer: Answer) -> None:
        phone = self.phones.of(message.get("token"))
        if phone is None:
            answer({"refused": ENDED, "ended": True})
            return
        wanted = message.get("call")
        asked = asked_of(wanted) if isinstance(wanted, Mapping) else "a call has its kind and its fields"
        if isinstance(asked, str):
            answer({"refused": asked})
            return
        if not self._may_call(phone.id):
            answer({"refused": TOO_MANY})
            return
        found = self._caller.call(phone, asked)
        if isinstance(found, dict):
            answer(found)
            return
        self._waiting.setdefault(found, []).append(answer)
        self.stored(self._calls.session.on_disk)
        self.troubled(self._calls.session.trouble)

    def _may_call(self, phone: str) -> bool:
        """Whether a phone may make one more call now; counts it."""
        now = self._steady()
        left, at = self._left.get(phone, (BURST, now))
        left = min(BURST, left + (now - at) * CALLS_S)
        self._left[phone] = (left - 1.0, now) if left >= 1.0 else (left, now)
        return left >= 1.0

    def _pair(self, message: Mapping[str, object]) -> dict[str, object]:
        question = self.phones.ask(message.get("secret"), message.get("name"))
        if isinstance(question, str):
            return {"refused": question, "wrong": question == NO_SECRET, "busy": question == BUSY}
        return {"ticket": question.ticket}

    def _seen_by(self, message: Mapping[str, object]) -> dict[str, object]:
        phone = self.phones.of(message.get("token"))
        if phone is None:
            return {"refused": ENDED, "ended": True}
        self._seen(str(message.get("cue")), phone.name)
        return {}

    def _take_about(self, message: Mapping[str, object]) -> None:
        live, slowed = message.get("live"), message.get("slowed")
        self.server.live = frozenset(str(one) for one in live) if isinstance(live, list) else frozenset()
        self.server.heard = message.get("heard") is True
        wrong = message.get("wrong")
        self.server.wrong = wrong if isinstance(wrong, int) else 0
        self.server.slowed = (
            {str(name)[:45]: int(times) for name, times in slowed.items() if isinstance(times, int)}
            if isinstance(slowed, dict)
            else {}
        )

    def _tell_answer(self, ticket: str, paired: Paired | None, no: str = "The laptop said no.") -> None:
        answer: dict[str, object] = {"answer": "no", "words": no}
        if paired is not None:
            phone = paired.phone
            answer = {
                "answer": "yes", "token": paired.token, "phone": phone.id, "rights": phone.right, "name": phone.name,
            }  # fmt: skip
            self.tell_phones()
        self._tell({"do": "answer", "ticket": ticket, "answer": answer})
