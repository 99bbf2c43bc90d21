"""A session being run: calls come in, are judged, logged, folded, and put on disk."""

from __future__ import annotations

import platform
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from studiotimer import __version__
from studiotimer.prep.plan import Plan, PlanError, quick_plan
from studiotimer.session import journal as files
from studiotimer.session.clock import Clock, SystemClock
from studiotimer.session.defaults import Desk, NoDefaultError, filled
from studiotimer.session.entries import AnyEntry, BadLineError, make
from studiotimer.session.mending import Ledger, MendError, amended
from studiotimer.session.reading import Header, SessionFile, read
from studiotimer.session.state import ContradictionError, State, apply
from studiotimer.session.writer import Writer

SAME_CALL_S = 0.7


@dataclass(frozen=True)
class Outcome:
    """What became of a call: logged as `entry`, refused for a reason, or the same call counted once."""

    entry: AnyEntry | None = None
    refused: str | None = None
    repeated: bool = False


@dataclass(frozen=True)
class Choice:
    """What the screen knows and the log does not: the ranking of the line and the selected scoop."""

    best: Sequence[int] = ()
    ending: int | None = None
    selected: int | None = None


@dataclass
class _Latest:
    kind: str
    given: Mapping[str, Any]
    tick: float
    entry: AnyEntry


def _nobody(*_: object) -> None:
    return None


@dataclass
class Listeners:
    """Who is told, from the writer's thread, what the disk has and when it refuses."""

    on_disk: Callable[[int], None] = field(default=_nobody)
    on_trouble: Callable[[str | None], None] = field(default=_nobody)


class Session:
    """One open session. Made by `new_session`, `open_session` or `open_read_only`."""

    def __init__(
        self,
        path: Path,
        header: Header | None,
        plan: Plan,
        ledger: Ledger,
        clock: Clock,
        journal: files.Journal | None,
        words: Sequence[str] = (),
    ) -> None:
        self.path = path
        self.header = header
        self.plan = plan
        self.ledger = ledger
        self.clock = clock
        self.words = list(words)
        """What a person should be told about the opening, one sentence each."""
        self.listeners = Listeners()
        self.on_disk = ledger.entries[-1].n if ledger.entries else 0
        self._run = max(ledger.runs, default=0) + 1
        self._latest: _Latest | None = None
        self._writer = Writer(journal, self._stored, self._trouble) if journal else None

    @property
    def state(self) -> State:
        """The state after everything called so far."""
        return self.ledger.state

    @property
    def read_only(self) -> bool:
        """Whether calls are refused because the file is not ours to write."""
        return self._writer is None

    @property
    def run(self) -> int:
        """The number of this run."""
        return self._run

    def time(self, tick: float | None = None) -> float:
        """Return the session second of `tick` (now, when None)."""
        run = self.ledger.runs.get(self._run)
        if run is None:
            return self.state.last_time
        return run.began + (self.clock.tick() if tick is None else tick)

    def wall_time(self, at: float) -> datetime:
        """Return the wall clock's time at session second `at`, reckoned from the run it falls in."""
        return self.ledger.wall_time(at)

    def desk(self, choice: Choice | None = None, given: Mapping[str, Any] | None = None) -> Desk:
        """Return what defaults are made from."""
        choice = choice or Choice()
        return Desk(self.ledger, self.plan, self.time(), choice.best, choice.ending, choice.selected, given or {})

    def call(
        self,
        kind: str,
        given: Mapping[str, Any] | None = None,
        choice: Choice | None = None,
        tick: float | None = None,
    ) -> Outcome:
        """Take a call: fill in what was not given, and log it unless it cannot be true.

        `tick` is when the key was pressed, on the run's clock. The entry is folded at once and goes to the
        disk in the writer's thread.
        """
        if self._writer is None:
            return Outcome(refused="this session is open read-only; calls are taken where it is written")
        given = dict(given or {})
        tick = self.clock.tick() if tick is None else tick
        latest = self._latest
        if latest and (latest.kind, latest.given) == (kind, given) and 0 <= tick - latest.tick < SAME_CALL_S:
            return Outcome(latest.entry, repeated=True)
        try:
            entry = self._entry(kind, filled(kind, self.desk(choice, given)), tick)
            self._admit(entry)
        except (NoDefaultError, BadLineError, ContradictionError, MendError) as error:
            return Outcome(refused=str(error))
        self._latest = _Latest(kind, given, tick, entry)
        return Outcome(entry)

    def preview(self, kind: str, choice: Choice | None = None) -> dict[str, Any] | None:
        """Return the fields a call of `kind` would get now, or None when it has no default."""
        try:
            return filled(kind, self.desk(choice))
        except NoDefaultError:
            return None

    def close(self, timeout_s: float = 5.0) -> bool:
        """End the run and let the file go; return whether everything is on disk."""
        if self._writer is None:
            return True
        self._log("closed", version=__version__, machine=_machine())
        done = self._writer.close(timeout_s)
        self._writer = None
        return done

    def begin_run(self) -> None:
        """Log that this run began."""
        self._log("opened", version=__version__, machine=_machine())

    def _log(self, kind: str, **fields: Any) -> None:
        self._admit(self._entry(kind, fields, self.clock.tick()))

    def _entry(self, kind: str, fields: Mapping[str, Any], tick: float) -> AnyEntry:
        number = self.ledger.entries[-1].n + 1 if self.ledger.entries else 1
        return make(kind, **{**fields, "n": number, "run": self._run, "at": self.clock.now(), "tick": round(tick, 6)})

    def _admit(self, entry: AnyEntry) -> None:
        """Fold and write `entry`; raises ContradictionError or MendError and changes nothing if it cannot be."""
        assert self._writer is not None
        if entry.kind in ("amend", "take_back"):
            self._admit_mend(entry)
        else:
            if entry.run in self.ledger.runs:
                apply(self.state, entry, self.ledger.seconds(entry))
            self.ledger.add(entry)
        self._writer.submit(entry)

    def _admit_mend(self, entry: AnyEntry) -> None:
        target = self.ledger.entry(entry.entry) if entry.kind in ("amend", "take_back") else None
        if target is None:
            raise MendError("there is no such entry to mend")
        if target.kind in ("opened", "closed"):
            raise MendError("the opening and closing of the file cannot be mended")
        if entry.kind == "take_back" and target.n in self.ledger.undone:
            raise MendError("that call is taken back already")
        if entry.kind == "amend":
            changed = amended(target, entry.change)
            if self.ledger.seconds(changed) > self.time() + 1.0:
                raise MendError("a call cannot have happened in the future")
        known = {(one.n, one.why) for one in self.state.contradictions}
        self.ledger.add(entry)
        fresh = [one for one in self.state.contradictions if (one.n, one.why) not in known]
        if fresh:
            self.ledger.drop_last()
            raise MendError(f"then entry {fresh[0].n} could not be: {fresh[0].why}")

    def _stored(self, number: int) -> None:
        self.on_disk = number
        self.listeners.on_disk(number)

    def _trouble(self, why: str | None) -> None:
        self.listeners.on_trouble(why)


def new_session(path: Path, plan: Plan, clock: Clock | None = None) -> Session:
    """Make a session file at `path` for `plan` and open it; raises SessionFileError when it cannot be made."""
    clock = clock or SystemClock()
    journal = files.create(path, plan.snapshot(), clock.now())
    session = Session(path, None, plan, Ledger(), clock, journal)
    session.begin_run()
    return session


def open_session(path: Path, clock: Clock | None = None) -> Session:
    """Open the session at `path` for writing; raises SessionFileError (BusyError, DamagedError) when it cannot be."""
    journal, held, aside = files.open_for_writing(path)
    words = []
    if aside is not None:
        words.append(f"The last line was torn; it was set aside in {aside.name} and the session goes on.")
    if held.entries and held.entries[-1].kind != "closed":
        words.append("The last run ended without closing; everything logged is here.")
    session = _from_file(held, clock or SystemClock(), journal, words)
    session.begin_run()
    return session


def open_read_only(path: Path, clock: Clock | None = None) -> Session:
    """Open whatever is readable of the session at `path` without writing it."""
    held = read(path)
    words = [f"Line {bad.line} cannot be read: {bad.why}." for bad in held.bad_lines]
    return _from_file(held, clock or SystemClock(), None, words)


def plan_of(header: Header) -> Plan:
    """Return the plan kept in a session's first line, or a plain one when it is lost."""
    try:
        return Plan.from_snapshot(header.plan)
    except PlanError:
        return quick_plan("unknown", "premium", "crisp", 22.0, "LED 2000 lx")


def _from_file(held: SessionFile, clock: Clock, journal: files.Journal | None, words: Sequence[str]) -> Session:
    return Session(held.path, held.header, plan_of(held.header), Ledger.of(held.entries), clock, journal, words)


def _machine() -> str:
    return (platform.node() or "unknown")[:200]
