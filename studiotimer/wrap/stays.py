"""The stays of scoops on set, told from the whole log: as hero or stand-in, for which shot, and how they ended."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from studiotimer.session.calls.registry import fold
from studiotimer.session.entries import Shot, Why
from studiotimer.session.log import Told
from studiotimer.session.state import State
from studiotimer.wrap.recorded import Recorded


@dataclass(frozen=True, slots=True)
class Step:
    """An entry that counts, and the state before and after it."""

    told: Told
    before: State
    after: State


@dataclass(frozen=True, slots=True, eq=False)
class OnSet:
    """One stay of a scoop on set (session seconds); `hero_since` is None for a stand-in.

    `until` is the session's end for one that still stands there; `asked` is the shot it was made for, `state` the
    shoot's state when it came.
    """

    scoop: int
    flavour: str
    spot: str
    since: float
    until: float
    hero_since: float | None
    asked: Shot | None
    why: Why | None
    assumed: bool
    state: State
    pulled: float

    @property
    def hero(self) -> bool:
        """Whether it stood there for the camera."""
        return self.hero_since is not None

    @property
    def shot(self) -> str:
        """The name of its shot, empty when there was none."""
        return self.asked.name if self.asked else ""

    @property
    def hero_s(self) -> float:
        """How long it was hero [s]."""
        return self.until - self.hero_since if self.hero_since is not None else 0.0


def steps(session: Recorded) -> Iterator[Step]:
    """Yield every entry that counts with the state before and after it, in order of time."""
    state = State()
    for told in session.ledger.told:
        after = fold(state, told.entry, told.at)
        yield Step(told, state, after)
        state = after


@dataclass
class _Seen:
    hero_since: float | None
    spot: str | None
    asked: Shot | None
    state: State


def stays_on_set(session: Recorded) -> list[OnSet]:
    """Return every stay on set, in order of time."""
    known: dict[tuple[int, float], _Seen] = {}
    shots: dict[str, Shot] = {}
    for step in steps(session):
        if isinstance(step.told.entry, Shot):
            shots[step.told.entry.name] = step.told.entry
        if step.after.scoops is step.before.scoops:
            continue
        for number, scoop in step.after.scoops.items():
            if scoop is step.before.scoops.get(number) or not scoop.on_set:
                continue
            seen = known.setdefault((number, scoop.since), _Seen(None, None, step.after.shot, step.after))
            seen.spot = scoop.spot or seen.spot
            if scoop.hero and seen.hero_since is None:
                seen.hero_since = step.told.at
                seen.asked = shots.get(scoop.shot or "", step.after.shot)
    return sorted(_stays(session, known), key=lambda stay: (stay.since, stay.scoop))


def _stays(session: Recorded, known: dict[tuple[int, float], _Seen]) -> Iterator[OnSet]:
    for scoop in session.state.scoops.values():
        ends = [stay.since for stay in scoop.stays[1:]] + [max(session.end, scoop.since)]
        for index, (stay, until) in enumerate(zip(scoop.stays, ends, strict=True)):
            if stay.place != "set":
                continue
            seen = known.get((scoop.number, stay.since))
            last = index + 2 >= len(scoop.stays) and scoop.place == "out"
            gone: Why | None = scoop.why_out if last else ("restyle" if index + 1 < len(scoop.stays) else None)
            if seen is None:  # assumed at the very call that took it out
                seen = _Seen(stay.since if scoop.hero else None, scoop.spot, None, session.state)
            yield OnSet(
                scoop.number, scoop.flavour, seen.spot or "", stay.since, until, seen.hero_since, seen.asked, gone,
                stay.assumed or scoop.assumed, seen.state, scoop.pulled,
            )  # fmt: skip
