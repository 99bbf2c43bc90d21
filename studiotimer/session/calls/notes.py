"""Calls that only keep something: frame, note, and how the program opened and closed the file."""

from typing import ClassVar, Literal

from pydantic import Field as InFile

from studiotimer.session.calls.record import Call, Field, Words, as_given, no_choices, silent, unchanged
from studiotimer.session.desk import Desk, Fields, NoDefaultError
from studiotimer.session.entries import Entry
from studiotimer.session.fields import LONGEST_BOOT_S, LONGEST_RUN_S, Name, Text
from studiotimer.session.state import State

PHRASES = (
    "light changed",
    "background moved",
    "fog in frame",
    "garnish slipped",
    "surface iced",
    "good texture",
)


class Frame(Entry):
    """A picture taken; `camera` is when, by its camera's clock, and `timed` whose time its tick is, where known."""

    kind: Literal["frame"] = "frame"
    name: Name
    shot: Name | None = None
    camera: Name | None = None
    timed: Literal["camera", "arrival"] | None = None
    mendable: ClassVar[bool] = False


def _frame_rule(state: State, call: Frame, at: float) -> State:
    shot = call.shot or state.shot_name
    newest = state.last_frame is None or at >= state.last_frame[1]
    state = state.but(frames=state.frames + 1, last_frame=(call.name, at) if newest else state.last_frame)
    return state.but(frames_of={**state.frames_of, shot: state.frames_of.get(shot, 0) + 1}) if shot else state


def _frame_default(desk: Desk) -> Fields:
    name: Fields = {"name": f"frame {desk.state.frames + 1}"}
    return name | ({"shot": desk.state.shot.name} if desk.state.shot else {})


FRAME = Call(
    model=Frame,
    name="Frame",
    rule=_frame_rule,
    default=_frame_default,
    choices=no_choices,
    words=lambda call: f"frame {call.name}{', at its arrival' if call.timed == 'arrival' else ''}",
    short=lambda call: call.name,
    by="anyone",
)


class Note(Entry):
    """Words worth keeping."""

    kind: Literal["note"] = "note"
    text: Text


def _note_default(desk: Desk) -> Fields:
    if "text" not in desk.given:
        raise NoDefaultError("a note needs its words")
    return {}


def _note_choices(desk: Desk, asked: Note) -> list[Field]:
    return [Words("text", "note", PHRASES)]


NOTE = Call(
    model=Note,
    name="Note",
    rule=unchanged,
    default=_note_default,
    choices=_note_choices,
    words=lambda call: call.text,
    short=lambda call: call.text,
    by="anyone",
    blank=True,
)


class Opened(Entry):
    """A run began: the file was opened for writing.

    `boot` and `boot_s` are the start of the machine and where tick 0 lies on the clock that counts from it;
    `since_s` is how long after the entry before this run was opened, where somebody knows better than the wall clock.
    """

    kind: Literal["opened"] = "opened"
    version: Name
    machine: Name
    boot: Name | None = None
    boot_s: float | None = InFile(default=None, ge=0, le=LONGEST_BOOT_S)
    since_s: float | None = InFile(default=None, ge=0, le=LONGEST_RUN_S)
    mendable: ClassVar[bool] = False


class Closed(Entry):
    """A run ended as it should."""

    kind: Literal["closed"] = "closed"
    version: Name
    machine: Name
    mendable: ClassVar[bool] = False


OPENED = Call(
    model=Opened,
    name="Opened",
    rule=unchanged,
    default=as_given,
    choices=no_choices,
    words=lambda call: f"opened on {call.machine}",
    short=silent,
    by="program",
)
CLOSED = Call(
    model=Closed,
    name="Closed",
    rule=unchanged,
    default=as_given,
    choices=no_choices,
    words=lambda _: "closed",
    short=silent,
    by="program",
)
