"""Whether a session file is whole, and which lines are not."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from studiotimer.session.reading import BadLine, Condition, read

MOST_NAMED = 20


@dataclass(frozen=True)
class Verdict:
    """What a session file is: how many entries can be read, its state, and the lines that cannot be."""

    entries: int
    state: Condition
    bad_lines: tuple[BadLine, ...]

    @property
    def whole(self) -> bool:
        """Whether nothing is wrong with the file."""
        return self.state == "whole"

    def values(self) -> dict[str, object]:
        """Return the verdict for programs: bad lines by number."""
        numbers = list(dict.fromkeys(bad.line for bad in self.bad_lines))
        return {"entries": self.entries, "state": self.state, "bad_lines": numbers}

    def text(self) -> str:
        """Return the verdict for people, a line for each bad line."""
        lines = [f"{self.state}, {self.entries} {'entry' if self.entries == 1 else 'entries'}"]
        lines += [f"line {bad.line}: {bad.why}" for bad in self.bad_lines[:MOST_NAMED]]
        if len(self.bad_lines) > MOST_NAMED:
            lines.append(f"and {len(self.bad_lines) - MOST_NAMED} more")
        return "\n".join(lines)


def verify(path: Path) -> Verdict:
    """Return what the session file at `path` is; raises SessionFileError when it is not a session at all."""
    held = read(path)
    return Verdict(len(held.entries), held.condition, held.bad_lines)
