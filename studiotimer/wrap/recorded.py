"""A session as it was recorded: its plan, the entries that count, the state they come to, and its clocks."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from studiotimer.errors import InputError
from studiotimer.prep.plan import Plan
from studiotimer.session.climate import Climate
from studiotimer.session.entries import Shot
from studiotimer.session.learning import Learned, Learner
from studiotimer.session.live import plan_of
from studiotimer.session.mending import Ledger, Run
from studiotimer.session.reading import SessionFile, read
from studiotimer.session.state import State
from studiotimer.wrap.zones import Zone, zone_named

CLOCK_SET_S = 1.0
"""A jump of the machine's clock against the session's larger than this is told."""


class WrongClockError(InputError):
    """A time of day that falls in none, or in several, of a session's runs; the message says what to give."""


@dataclass(frozen=True, eq=False)
class Recorded:
    """A session's name, plan and ledger, and what was wrong with its file; `zone` is None for the machine's own."""

    name: str
    plan: Plan
    ledger: Ledger
    doubts: tuple[str, ...] = ()
    zone: Zone | None = None

    @property
    def state(self) -> State:
        """What the entries come to in the end."""
        return self.ledger.state

    @cached_property
    def climate(self) -> Climate:
        """What was around the scoops, with all that is known by the end."""
        return Climate(self.ledger.state, self.plan)

    @cached_property
    def learned(self) -> Learned:
        """What everything seen in the session teaches."""
        return Learner(self.plan).learned(self.state, self.climate)

    @cached_property
    def begin(self) -> float:
        """The session second of the first entry."""
        return min((told.at for told in self.ledger.told), default=0.0)

    @cached_property
    def end(self) -> float:
        """The session second of the last entry."""
        return max((told.at for told in self.ledger.told), default=0.0)

    @cached_property
    def shots(self) -> list[tuple[float, Shot]]:
        """The shots as they were begun, each with its session second."""
        return [(told.at, told.entry) for told in self.ledger.told if isinstance(told.entry, Shot)]

    def shot_at(self, at: float) -> Shot | None:
        """Return the shot that was being made at session second `at`."""
        place = bisect_right(self.shots, at, key=lambda one: one[0])
        return self.shots[place - 1][1] if place else None

    @property
    def runs(self) -> list[Run]:
        """The runs in order of time."""
        return sorted(self.ledger.runs.values(), key=lambda run: run.began)

    def local(self, at: float) -> dt.datetime:
        """Return the time of day where the set was, at session second `at`."""
        return self.ledger.wall_time(at).astimezone(self.zone)

    def second(self, utc: dt.datetime) -> float:
        """Return the session second at which the machine's clock said `utc`.

        Raises WrongClockError when it said so in two runs, between which the clock was set back.
        """
        runs = self.runs
        if not runs:
            raise WrongClockError("the session has no entries; there is nothing to match frames with")
        found = []
        for index, run in enumerate(runs):
            at = run.began + (utc - run.wall).total_seconds()
            until = runs[index + 1].began if index + 1 < len(runs) else float("inf")
            if (index == 0 or at >= run.began) and at < until:
                found.append(at)
        if len(found) > 1:
            raise WrongClockError(
                f"the machine's clock said {utc:%H:%M:%S} UTC twice, since it was set back between two runs; "
                "pair a frame with a call instead"
            )
        if not found:  # the clock was set forward between runs: it never said so
            later = next((run for run in runs if run.wall > utc), runs[-1])
            return later.began
        return found[0]

    def clock_set_s(self) -> float:
        """Return by how much the machine's clock was set during a run, 0 when it was not."""
        jumps = [
            (entry.at - self.ledger.runs[entry.run].wall).total_seconds() - entry.tick
            for entry in self.ledger.entries
            if entry.kind != "frame"
        ]
        most = max(jumps, key=abs, default=0.0)
        return most if abs(most) > CLOCK_SET_S else 0.0


def zone_of(plan: Plan) -> Zone | None:
    """Return the zone a plan says its set is in, None when it does not."""
    return None if plan.timezone is None else zone_named(plan.timezone)


def recorded(held: SessionFile, zone: Zone | None = None) -> Recorded:
    """Return the session that `held` holds; `zone` is where the set was, by default the plan's."""
    plan = plan_of(held.header)
    doubts = [f"line {bad.line}: {bad.why}" for bad in held.bad_lines]
    ledger = Ledger.of(held.entries)
    doubts += [f"entry {one.n} cannot be true and was passed over: {one.why}" for one in ledger.state.contradictions]
    zone = zone or zone_of(plan)
    session = Recorded(held.path.stem, plan, ledger, tuple(doubts), zone)
    if (jump := session.clock_set_s()) and ledger.entries:
        words = f"the machine's clock was set by {jump:+.0f} s during a run; match the camera by pairing a frame"
        return Recorded(session.name, plan, ledger, (*doubts, words), zone)
    return session


def load(path: Path, zone: Zone | None = None) -> Recorded:
    """Return the session at `path`; raises SessionFileError."""
    return recorded(read(path), zone)
