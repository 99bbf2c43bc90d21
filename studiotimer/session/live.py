"""A session being run: calls come in, are judged, logged, folded, and put on disk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import NamedTuple

from studiotimer import __version__, hops
from studiotimer.prep.plan import Plan, PlanError, quick_plan
from studiotimer.session import journal as files
from studiotimer.session.asked import Assumption, check_asked, check_told
from studiotimer.session.beat import Taken, machine_name, taken_over
from studiotimer.session.calls.mends import Amend, TakeBack, amends, takes_back
from studiotimer.session.calls.registry import apply, made
from studiotimer.session.calls.scooping import assumed_words
from studiotimer.session.clock import Clock, SystemClock, sayable, wrong_year_words
from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk, NoDefaultError
from studiotimer.session.entries import Entry
from studiotimer.session.first_lines import BadLineError, SessionFileError
from studiotimer.session.following import Ears, EarsAside
from studiotimer.session.joined import Doubt, clock_words, doubt
from studiotimer.session.leader import Leader
from studiotimer.session.mending import Ledger, MendError, amended, dates_a_run
from studiotimer.session.reading import Header, SessionFile, read
from studiotimer.session.state import ContradictionError, State
from studiotimer.session.writer import Beside, Listeners, Writer
from studiotimer.units import duration

SAME_CALL_S = 0.4
"""Two presses so soon are a switch that bounced; from there on they are two, as when two scoops are pulled in a row."""


class Outcome(NamedTuple):
    """What became of a call: logged as `entry`, refused, the same call counted once, or asked about first."""

    entry: Entry | None = None
    refused: str | None = None
    repeated: bool = False
    assumes: Assumption | None = None


class Choice(NamedTuple):
    """What the screen knows and the log does not: the ranking of the line and the selected scoop."""

    best: Sequence[int] = ()
    ending: int | None = None
    selected: int | None = None


class _Latest(NamedTuple):
    asked: tuple[str, Mapping[str, object], int | str | None]
    tick: float
    entry: Entry


class Session:
    """One open session. Made by `new_session`, `open_session`, `open_read_only` or `follow`."""

    takes_none = "this session is open read-only; calls are taken where it is written"
    """Why a session that is not written takes no call."""

    def __init__(
        self,
        path: Path,
        header: Header,
        plan: Plan,
        ledger: Ledger,
        clock: Clock,
        journal: files.Journal | None,
        words: Sequence[str] = (),
        follower: Ears | None = None,
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
        """The number of the last entry the disk has."""
        self.damaged = False
        """Whether its file is damaged above its last line, so that work goes on only in a copy."""
        self.trouble: str | None = None
        """Why the disk, or the file followed, refuses; None while all is well."""
        self._run = max(ledger.runs, default=0) + 1
        self._latest: _Latest | None = None
        self._writer = self._writer_of(journal) if journal else None
        self._follower = follower
        self.leader = Leader(clock.tick())
        """Who writes a session that is followed."""
        self.taken: Taken | None = None
        """Who took the session over from here; None while nobody did."""

    @property
    def state(self) -> State:
        """The state after everything called so far."""
        return self.ledger.state

    @property
    def read_only(self) -> bool:
        """Whether calls are refused because the file is not ours to write."""
        return self._writer is None

    @property
    def following(self) -> bool:
        """Whether `catch_up` may find what another program logs."""
        return self._follower is not None

    @property
    def run(self) -> int:
        """The number of this run."""
        return self._run

    @property
    def waiting(self) -> int:
        """How many entries are not on disk yet."""
        return self._writer.waiting() if self._writer else 0

    def time(self, tick: float | None = None) -> float:
        """Return the session second of `tick` (now, when None); a session that is followed has its leader's."""
        run = self.ledger.runs.get(self._run)
        if run is not None and self._follower is None:
            return run.began + (self.clock.tick() if tick is None else tick)
        if self._follower is None:
            return self.state.last_time
        return self.leader.second(self.ledger, self.clock.tick() if tick is None else tick, self.clock.now())

    def wall_time(self, at: float) -> datetime:
        """Return the wall clock's time at session second `at`, reckoned from the run it falls in."""
        return self.ledger.wall_time(at)

    def may_be_taken_over(self) -> bool:
        """Whether the session is followed and nobody writes it any more, as far as can be told."""
        return self.following and self.leader.gone(self.clock.tick())

    def doubt(self) -> Doubt | None:
        """Return what is in doubt about when this run began; None when nothing is."""
        return None if self._writer is None else doubt(self.ledger, self._run)

    def desk(self, choice: Choice | None = None, given: Mapping[str, object] | None = None) -> Desk:
        """Return what defaults are made from."""
        choice = choice or Choice()
        return Desk(self.ledger, self.plan, self.time(), choice.best, choice.ending, choice.selected, given or {})

    def call(
        self,
        kind: str,
        given: Mapping[str, object] | None = None,
        choice: Choice | None = None,
        tick: float | None = None,
        assume: bool = True,
        program: bool = False,
        caller: Mapping[str, str] | None = None,
    ) -> Outcome:
        """Take a call: fill in what was not given, and log it unless it cannot be true.

        `tick` is when the key was pressed, on the run's clock. The entry is folded at once and goes to the
        disk in the writer's thread. Without `assume`, one that names scoops that were never logged is asked about.
        From another `program`, nothing is filled in that a person would have to have looked at. `caller` are the
        fields `phone` and `call_id` of a call that came from a phone.
        """
        if self._writer is None:
            return Outcome(refused=self.takes_none)
        given = dict(given or {})
        how = hops.asked_how(tick is not None, program, caller is not None)
        now = self.clock.tick()
        tick = now if tick is None or not tick <= now else tick
        asked = (kind, given, (caller or {}).get("phone", choice.selected if choice else None))
        latest = self._latest
        if latest and latest.asked == asked and 0 <= tick - latest.tick < SAME_CALL_S:
            return Outcome(latest.entry, repeated=True)
        try:
            check_asked(kind, given)
            if program:
                check_told(kind, given, self.desk(choice, given))
            fields = {**filled(kind, self.desk(choice, given)), **(caller or {})}
            entry = self._entry(kind, fields, tick)
            if not assume and (words := assumed_words(entry, self.state)) is not None:
                apply(self.state, entry, self.time(tick))
                return Outcome(assumes=Assumption(kind, fields, tick, words))
            self._admit(entry, how)
        except (NoDefaultError, BadLineError, ContradictionError, MendError) as error:
            return Outcome(refused=str(error))
        self._latest = _Latest(asked, tick, entry)
        return Outcome(entry)

    def catch_up(self) -> tuple[Entry, ...]:
        """Take in what the followed file has got since, and return it; `trouble` says when it cannot be read."""
        if self._follower is None:
            return ()
        fresh: list[Entry] = []
        for news in self._follower.news():
            self.leader.hear(news)
            for entry in news.entries:
                self.ledger.add(entry)
                self.on_disk = entry.n
            fresh += news.entries
        self.trouble = self._follower.trouble
        return tuple(fresh)

    def written_at(self, path: Path) -> files.Written:
        """Return the whole session as it is now on disk in a new file; from any thread. Raises SessionFileError."""
        return files.written_at(path, self.header, list(self.ledger.entries))

    def go_on_with(self, written: files.Written) -> None:
        """Go on in a file that has the session as it was when that was written; calls made since are written to it."""
        assert self._writer is not None
        self._writer.leave()
        self.path, self.header = written.journal.path, written.header
        self._writer = self._writer_of(written.journal)
        self._troubled(None)
        self._stored(written.number)
        for entry in self.ledger.entries:
            if entry.n > written.number:
                self._writer.submit(entry)

    @property
    def held_up_s(self) -> float:
        """For how long the disk has not answered, in seconds."""
        return self._writer.held_up_s() if self._writer else 0.0

    def close(self, timeout_s: float = 5.0) -> bool:
        """End the run and let the file go, and return True; if the disk refuses, the session stays open."""
        if self._follower is not None:
            self._follower.end()
        if self._writer is None:
            return True
        if not self._writer.flush(timeout_s):
            return False
        self._log("closed", version=__version__, machine=machine_name())
        if not self._writer.close(timeout_s):
            return False
        self._writer = None
        return True

    def leave(self) -> None:
        """Let the file go although the disk does not have everything; what waits is lost."""
        if self._writer is not None:
            self._writer.leave()
            self._writer = None

    def begin_run(self, since_s: float | None = None) -> None:
        """Log that this run began; `since_s` after the last entry, where that is known better than by the clocks.

        Whatever keeps it from beginning lets the file go.
        """
        fields: dict[str, object] = {"version": __version__}
        try:
            fields["machine"] = machine_name()
            if (anchor := self.clock.anchor()) is not None:
                fields |= {"boot": anchor.boot, "boot_s": round(anchor.seconds, 6)}
            if since_s is not None:
                fields["since_s"] = round(since_s, 6)
            self._log("opened", **fields)
        except BaseException:
            self.leave()
            raise

    def _log(self, kind: str, **fields: object) -> None:
        self._admit(self._entry(kind, fields, self.clock.tick()))

    def _entry(self, kind: str, fields: Mapping[str, object], tick: float) -> Entry:
        number = self.ledger.entries[-1].n + 1 if self.ledger.entries else 1
        at = sayable(self.clock.now() - timedelta(seconds=self.clock.tick() - tick))
        return made(kind, {**fields, "n": number, "run": self._run, "at": at, "tick": round(tick, 6)})

    def _admit(self, entry: Entry, how: str = "by the session itself") -> None:
        """Fold and write `entry`; raises ContradictionError or MendError and changes nothing if it cannot be."""
        assert self._writer is not None
        if amends(entry) or takes_back(entry):
            self._check_mend(entry)
        self.ledger.admit(entry)
        hops.entered(entry.n, entry.kind, how, self.clock.tick() - entry.tick)
        self._writer.submit(entry)

    def _check_mend(self, mend: Amend | TakeBack) -> None:
        target = self.ledger.entry(mend.entry)
        if target is None:
            raise MendError(f"there is no entry {mend.entry} to mend; the last is {self.ledger.entries[-1].n}")
        dated = mend.kind == "amend" and dates_a_run(target, mend.change)
        if target.kind in ("opened", "closed") and not dated:
            raise MendError("the opening and closing of the file cannot be amended")
        if target.n in self.ledger.undone:
            raise MendError("that call is taken back already")
        if amends(mend):
            told = self.ledger.told_of(target.n)
            changed = amended(told.entry if told else target, mend.change)
            ahead = self.ledger.seconds(changed) - self.time()
            if ahead > 0:
                raise MendError(f"a call cannot have happened in the future; that would be {duration(ahead)} from now")

    def _writer_of(self, journal: files.Journal) -> Writer:
        return Writer(
            journal, self._stored, self._troubled, everything=self._up_to, on_beside=self._gone_on_beside
        )  # fmt: skip

    def _up_to(self, number: int) -> list[Entry]:
        """Return every entry up to a number; called from the writer's thread."""
        return [entry for entry in list(self.ledger.entries) if entry.n <= number]

    def _gone_on_beside(self, beside: Beside) -> None:
        self.path = beside.path
        self.listeners.on_beside(beside)

    def _stored(self, number: int) -> None:
        self.on_disk = number
        self.listeners.on_disk(number)

    def _troubled(self, why: str | None) -> None:
        self.trouble = why
        self.listeners.on_trouble(why)


def new_session(path: Path, plan: Plan, clock: Clock | None = None) -> Session:
    """Make a session file at `path` for `plan` and open it; raises SessionFileError when it cannot be made."""
    clock = clock or SystemClock()
    now = sayable(clock.now())
    journal, header = files.create(path, plan.snapshot(), now)
    words = [*wrong_year_words(now), *_lock_words(journal)]
    session = Session(path, header, plan, Ledger(), clock, journal, words)
    session.begin_run()
    return session


def open_session(path: Path, clock: Clock | None = None) -> Session:
    """Open the session at `path` for writing; raises SessionFileError (BusyError, DamagedError) when it cannot be."""
    journal, held, aside = files.open_for_writing(path)
    clock = clock or SystemClock()
    words = [*wrong_year_words(clock.now()), *_lock_words(journal)]
    if aside is not None:
        words.append(f"The last line was torn; it was set aside in {aside.name} and the session goes on.")
    if held.entries and held.entries[-1].kind != "closed":
        left_by = journal.lock.left_by
        who = f" ({left_by})" if left_by else ""
        words.append(f"The last run{who} ended without closing; everything logged is here.")
    session = _from_file(held, clock, journal, words)
    session.begin_run()
    session.taken = taken_over(path, held.header.session)
    session.words += clock_words(session.ledger, session.run)
    return session


def open_read_only(path: Path, clock: Clock | None = None) -> Session:
    """Open whatever is readable of the session at `path` without writing it."""
    held = read(path)
    words = [f"Line {bad.line} cannot be read: {bad.why}." for bad in held.bad_lines]
    session = _from_file(held, clock or SystemClock(), None, words)
    session.damaged = held.condition == "damaged"
    return session


def open_as_can_be(path: Path) -> Session:
    """Open a session for writing; follow it when another program writes it; else, where it can only be read, read it.

    Raises SessionFileError when it cannot be read either.
    """
    try:
        return open_session(path)
    except SessionFileError as error:
        session = follow(path, aside=True) if isinstance(error, files.BusyError) else open_read_only(path)
        session.words.insert(0, f"{error}.")
        return session


def follow(path: Path, clock: Clock | None = None, aside: bool = False) -> Session:
    """Open the session at `path` read-only, to follow along with `catch_up` while another program writes it."""
    clock = clock or SystemClock()
    ears = EarsAside(path, clock) if aside else Ears(path, clock)
    header = ears.follower.header
    session = Session(path, header, plan_of(header), Ledger(), clock, None, follower=ears)
    session.catch_up()
    return session


def plan_of(header: Header) -> Plan:
    """Return the plan kept in a session's first line, or a plain one when it is lost."""
    try:
        return Plan.from_snapshot(header.plan)
    except PlanError:
        return quick_plan("unknown", "premium", "crisp", 22.0, "LED 2000 lx")


def _from_file(held: SessionFile, clock: Clock, journal: files.Journal | None, words: Sequence[str]) -> Session:
    return Session(held.path, held.header, plan_of(held.header), Ledger.of(held.entries), clock, journal, words)


def _lock_words(journal: files.Journal) -> list[str]:
    if journal.lock.sure:
        return []
    return ["This folder cannot keep a second program from writing the session; write it from one machine only."]
