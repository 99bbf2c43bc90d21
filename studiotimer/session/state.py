"""The state of a shoot: what the entries so far say."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal, NamedTuple

from studiotimer.errors import CallError
from studiotimer.session.entries import LOCKS, LampKind, Lock, Shot
from studiotimer.session.fields import HIGHEST_NUMBER
from studiotimer.session.growing import Growing
from studiotimer.session.measures import Measured
from studiotimer.session.numbered import Numbered
from studiotimer.session.scoops import Scoop, Stood
from studiotimer.thermal.charge import Charge

Where = Literal["set", "box"]


class ContradictionError(CallError):
    """A call that cannot be true given what is logged; the message is the reason."""


@dataclass(frozen=True, slots=True)
class Change:
    """A value that held from a time (session seconds) on."""

    at: float
    value: float


class Put(NamedTuple):
    """The freezer that a tub was put into, and when (session seconds)."""

    at: float
    freezer: str


class Finished(NamedTuple):
    """When a tub, or a block of one, was finished (session seconds), and what its flavour had given by then."""

    at: float
    pulled: int


class Delivered(NamedTuple):
    """What a truck brought (session seconds): read in a tub [°C], cartons counted or None, damage or nothing."""

    at: float
    core_c: float
    cartons: int | None
    damage: str


@dataclass(frozen=True, slots=True)
class LightChange:
    """The light on set from a time (session seconds) on."""

    at: float
    lamp: LampKind
    lux: float
    on: bool


class Contradiction(NamedTuple):
    """An entry of the file that cannot be true and was passed over, and why."""

    n: int
    why: str


@dataclass(frozen=True)
class State:
    """Everything the entries so far say; mappings are never changed in place."""

    scoops: Numbered[Scoop] = field(default_factory=Numbered)
    shot: Shot | None = None
    shot_since: float = 0.0
    locks: Mapping[Lock, bool] = field(default_factory=lambda: dict.fromkeys(LOCKS, False))
    locked_last: float = 0.0
    """When something was locked last."""
    lamp_on: bool = True
    hold: float | None = None
    hold_why: str | None = None
    """What the hold is for, where that was said."""
    got: frozenset[str] = frozenset()
    shot_before: str | None = None
    again: bool = False
    """Whether the current shot is a got one that came back for another take."""
    props: tuple[str, ...] = ()
    charges: Mapping[Where, Growing[Charge]] = field(default_factory=lambda: {"set": Growing(), "box": Growing()})
    cleared: Mapping[Where, Growing[float]] = field(default_factory=lambda: {"set": Growing(), "box": Growing()})
    readings: Mapping[Measured, Growing[Change]] = field(default_factory=dict)
    freezers: Mapping[str, Growing[Change]] = field(default_factory=dict)
    """What each freezer read, by its name; a reading that names none, under "", counts for every one."""
    cores: Mapping[str, Growing[Change]] = field(default_factory=dict)
    """What was read inside the tub of each flavour."""
    tubs_in: Mapping[str, Growing[Put]] = field(default_factory=dict)
    """Which freezer each tub was put into, where that was told; else it is in the plan's."""
    doors_open: Mapping[str, float] = field(default_factory=dict)
    """Since when the door of a freezer is open; "" where it was not named."""
    lights: Growing[LightChange] = field(default_factory=Growing)
    tubs_out: Mapping[str, float] = field(default_factory=dict)
    tubs_finished: Mapping[str, Growing[Finished]] = field(default_factory=dict)
    """The tubs and blocks of each flavour that were finished, in their order."""
    deliveries: Growing[Delivered] = field(default_factory=Growing)
    takes: Mapping[str, int] = field(default_factory=dict)
    heroes_used: Mapping[str, int] = field(default_factory=dict)
    frames: int = 0
    clips: int = 0
    """How many motion clips were begun."""
    clips_running: Mapping[str, float] = field(default_factory=dict)
    frames_of: Mapping[str, int] = field(default_factory=dict)
    frames_before_take: int = 0
    """How many frames there were when the take began that is being made; before its first hero, when its shot did."""
    last_frame: tuple[str, float] | None = None
    """The name of the newest frame and its session second."""
    last_top_up: tuple[Where, Charge] | None = None
    last_time: float = 0.0
    contradictions: Growing[Contradiction] = field(default_factory=Growing)

    def but(self, **changes: object) -> State:
        """Return this state with some fields changed; quicker than `dataclasses.replace`."""
        changed = object.__new__(State)
        changed.__dict__.update(self.__dict__, **changes)
        if "scoops" in changes:
            changed.__dict__.pop("in_play", None)
            changed.__dict__.pop("known_of_scoops", None)
        return changed

    @property
    def shot_name(self) -> str | None:
        """The name of the current shot; None before the first."""
        return self.shot.name if self.shot else None

    @property
    def shot_got(self) -> bool:
        """Whether the current shot is got, and not back for another take."""
        return self.shot is not None and self.shot.name in self.got and not self.again

    @cached_property
    def in_play(self) -> tuple[Scoop, ...]:
        """The scoops that are not out, few of all those there were."""
        return tuple(scoop for scoop in self.scoops.values() if scoop.place != "out")

    @cached_property
    def known_of_scoops(self) -> dict[Hashable, Any]:
        """Room to keep what follows from the scoops alone; shared by states as long as the scoops stay the same."""
        return {}

    def heroes(self) -> list[Scoop]:
        """Return the heroes on set, oldest on set first."""
        on_set = [scoop for scoop in self.in_play if scoop.hero_on_set]
        return sorted(on_set, key=lambda scoop: (scoop.since, scoop.number))

    def stand_ins(self) -> list[Scoop]:
        """Return the scoops standing in on set."""
        return [scoop for scoop in self.in_play if scoop.on_set and not scoop.hero]

    def line(self) -> list[Scoop]:
        """Return the scoops that wait, in order of number."""
        return sorted((scoop for scoop in self.in_play if scoop.waiting), key=lambda scoop: scoop.number)

    def active(self) -> list[Scoop]:
        """Return the scoops a forecast is wanted for: on set, or waiting."""
        return [scoop for scoop in self.in_play if scoop.on_set or scoop.waiting]

    def stood(self, scoop: Scoop) -> Stood | None:
        """Return what a scoop on set stands on; None where no shot has begun."""
        return scoop.stood or (Stood(self.shot, self.shot_since) if self.shot else None)

    def last_pulled(self) -> Scoop | None:
        """Return the scoop pulled last that is not out."""
        return max(self.in_play, key=lambda scoop: (scoop.pulled, scoop.number), default=None)

    def next_number(self) -> int:
        """Return the number the next pull gets."""
        highest = max(self.scoops, default=0)
        if highest < HIGHEST_NUMBER:
            return highest + 1
        return next(number for number in range(1, HIGHEST_NUMBER + 1) if number not in self.scoops)

    def read_of(self, freezer: str) -> Sequence[Change]:
        """Return what the freezer of that name read; where none was named, what was read of any."""
        return self.freezers[freezer] if freezer in self.freezers else self.freezers.get("", ())

    def reading(self, what: Measured) -> float | None:
        """Return the last value read of `what`."""
        history = self.readings.get(what)
        return history[-1].value if history else None
