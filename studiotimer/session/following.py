"""A session file followed while another program writes it, also over a shared folder."""

from __future__ import annotations

import queue
from collections.abc import Callable
from pathlib import Path

from studiotimer.plain import plain
from studiotimer.session.beat import Beat, beat_path, read_note
from studiotimer.session.clock import Clock, steady_seconds
from studiotimer.session.entries import Entry
from studiotimer.session.first_lines import LONGEST_LINE, BadLineError, SessionFileError, first_line
from studiotimer.session.leader import News
from studiotimer.session.reading import BadLine, Scan, header_on
from studiotimer.units import duration
from studiotimer.working import Worker

MOST_AT_ONCE = LONGEST_LINE + (1 << 20)
"""How much of a file that grew is read at a time."""
MOST_LINES = 20_000
"""How many lines of it are taken at a time."""
LOOK_S = 0.25  # below what is felt as late
HUNG_S = 3.0  # a share that answers at all does so sooner
PATIENCE_S = 3.0
"""How long a line that cannot be read is taken for one that is still arriving."""


class Follower:
    """Reads what a session file gets, never writes it. Raises SessionFileError when it is not a session."""

    def __init__(self, path: Path, seconds: Callable[[], float] = steady_seconds) -> None:
        first, ended, _ = first_line(path).partition(b"\n")
        header = header_on(path, first)
        if header is None or not ended:
            raise SessionFileError(f"{path.name} cannot be followed: its first line is not a whole session's")
        self.path = path
        self.header = header
        self._name = plain(path.name)
        self.trouble: str | None = None
        """Why there may be more than was read, one sentence; None while all is well."""
        self._seconds = seconds
        self._scan = Scan()
        self._read = len(first) + 1
        self._last = first + ended
        self._stuck_since: float | None = None

    @property
    def bad_lines(self) -> tuple[BadLine, ...]:
        """The lines that were given up, and why."""
        return tuple(self._scan.bad)

    def poll(self) -> tuple[Entry, ...]:
        """Return the entries that came since the last call, none while the file is away or a line is arriving."""
        known = len(self._scan.entries)
        data = self._news()
        if data is None:
            return ()
        begin = taken = 0
        while taken < MOST_LINES and not self._scan.full and (end := data.find(b"\n", begin)) >= 0:
            if not self._taken(data[begin:end]):
                break
            begin, taken = end + 1, taken + 1
        if self._scan.full:
            self.trouble = f"there is too much in {self._name}; it is followed no further"
        elif taken < MOST_LINES:
            self._say_if_stuck(len(data) > begin)
        return tuple(self._scan.entries[known:])

    def _news(self) -> bytes | None:
        """Return what stands after the last line read, None with `trouble` set when that cannot be told."""
        begin = self._read - len(self._last)
        try:
            with self.path.open("rb") as file:
                file.seek(begin)
                data = file.read(len(self._last) + MOST_AT_ONCE)
        except OSError as error:
            self.trouble = f"{self._name} cannot be read just now: {error.strerror}"
            return None
        if data.startswith(self._last):
            return data[len(self._last) :]
        if len(data) < len(self._last):
            self.trouble = f"{self._name} is shorter than it was; waiting for it to grow again"
        else:
            self.trouble = f"{self._name} was replaced by another file; open it again to follow that one"
        return None

    def _taken(self, line: bytes) -> bool:
        """Take a line, unless it cannot be read and may still be arriving."""
        try:
            self._scan.entry_on(line)
        except BadLineError:
            if not self._waited():
                return False
        self._scan.take(line)
        self._read += len(line) + 1
        self._last = line + b"\n"
        self._stuck_since = None
        return True

    def _waited(self) -> bool:
        if self._stuck_since is None:
            self._stuck_since = self._seconds()
        return self._seconds() - self._stuck_since >= PATIENCE_S

    def _say_if_stuck(self, held_up: bool) -> None:
        if not held_up:
            self._stuck_since = None
        stuck = held_up and self._waited()
        self.trouble = f"line {self._scan.line + 1} of {self._name} is not complete yet" if stuck else None


class Ears:
    """Looks at a followed session and its writer's heartbeat when asked."""

    def __init__(self, path: Path, clock: Clock) -> None:
        self.follower = Follower(path)
        self._clock = clock

    @property
    def trouble(self) -> str | None:
        """Why there may be more than was read; None while all is well."""
        return self.follower.trouble

    def news(self) -> list[News]:
        """Return what arrived since the last call."""
        return [self._look()]

    def end(self) -> None:
        """Look no more."""

    def _look(self) -> News:
        entries = self.follower.poll()
        beat = read_note(beat_path(self.follower.path), Beat, self.follower.header.session)
        return News(self._clock.tick(), self._clock.now(), entries, beat)


class EarsAside(Ears):
    """Looks in a worker of its own, so that a share that hangs holds nobody up."""

    def __init__(self, path: Path, clock: Clock) -> None:
        super().__init__(path, clock)
        self._arrived: queue.SimpleQueue[News] = queue.SimpleQueue()
        self._looked = clock.tick()
        self._arrived.put(self._look())
        self._worker = Worker("following")
        self._worker.repeat("look", self._hear, LOOK_S)

    @property
    def trouble(self) -> str | None:
        """Why there may be more than was read; None while all is well."""
        silent = self._clock.tick() - self._looked
        if silent < HUNG_S:
            return self.follower.trouble
        return f"{plain(self.follower.path.name)} has not answered for {duration(silent)}"

    def news(self) -> list[News]:
        """Return what arrived since the last call."""
        found = []
        while not self._arrived.empty():
            found.append(self._arrived.get_nowait())
        return found

    def end(self) -> None:
        """Look no more; a look that hangs is left to itself."""
        self._worker.end()

    def _hear(self) -> None:
        self._arrived.put(self._look())
        self._looked = self._clock.tick()
