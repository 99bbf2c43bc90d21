"""What this program raises on purpose: one tree, whose branches say what is wrong.

Each message is words for a person. A branch that the standard library has a word for is also of that kind, so that
what catches a ValueError or an OSError has it too. DEVELOPERS.md draws the tree.
"""

from __future__ import annotations


class StudioError(Exception):
    """Whatever this program raises on purpose."""


class InputError(StudioError, ValueError):
    """What somebody wrote or chose cannot be; the message says what would be right."""


class ContentError(StudioError, ValueError):
    """What stands in a file cannot be used; the file itself was read."""


class CallError(StudioError, ValueError):
    """A call cannot be made as things stand in the session."""


class PlaceError(StudioError):
    """A place on disk refuses: it is missing, held by another program, full, or not what was left there."""


class PeerError(StudioError):
    """Another program, or a phone, does not answer, or asks for what it may not have."""


class NoWindowError(PeerError, ConnectionError):
    """No running window answers; the message says so."""


class StoppedError(StudioError):
    """A person stopped the work."""


class WorkError(StudioError):
    """Work came to nothing; the message says why, as a sentence a person reads."""


class FaultError(WorkError):
    """Work came to nothing by a mistake of the program's own, which is the cause."""


class SlowError(WorkError, OSError):
    """Work has not come to anything in the time that was given it; it may still. As an error it is the disk's."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.strerror = "the disk does not answer"
