"""The entries a session file holds: one model a kind."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, ClassVar, Literal, get_args

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    TypeAdapter,
    ValidationError,
)
from pydantic import model_validator as check_model

from studiotimer.plain import shown
from studiotimer.session.fields import (
    LONGEST_BOOT_S,
    LONGEST_RUN_S,
    Change,
    Count,
    Mass,
    Name,
    Names,
    Number,
    Scoops,
    Span,
    Text,
    Tick,
    Wall,
    once,
)
from studiotimer.session.problems import first_problem

Look = Literal["crisp", "sheen", "melt"]
LampKind = Literal["LED", "daylight", "tungsten"]
Store = Literal["freezer", "box", "tray"]
Judgement = Literal["hero", "spare", "reject"]
Seen = Literal["sheen", "edges", "first drip", "slump"]
Lock = Literal["light", "set", "camera"]
Form = Literal["slab", "pellets", "crushed"]
Why = Literal["gone", "got it", "dropped", "restyle"]
Measured = Literal["air_c", "humidity", "box_c", "freezer_c", "room_c", "lux", "co2_ppm"]

LOOKS: tuple[Look, ...] = get_args(Look)
STORES: tuple[Store, ...] = get_args(Store)
SEEN: tuple[Seen, ...] = get_args(Seen)
LOCKS: tuple[Lock, ...] = get_args(Lock)
FORMS: tuple[Form, ...] = get_args(Form)
WHYS: tuple[Why, ...] = get_args(Why)
MEASURED: tuple[Measured, ...] = get_args(Measured)
JUDGEMENTS: tuple[Judgement, ...] = get_args(Judgement)

READING_SPANS: dict[Measured, tuple[float, float]] = {
    "air_c": (-80.0, 60.0), "humidity": (0.0, 1.0), "box_c": (-80.0, 60.0), "freezer_c": (-80.0, 60.0),
    "room_c": (-80.0, 60.0), "lux": (0.0, 200_000.0), "co2_ppm": (0.0, 1_000_000.0),
}  # fmt: skip


class Entry(BaseModel):
    """What every entry has: its number, run, wall time (UTC) and tick in seconds since the run began."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        populate_by_name=True,
        serialize_by_alias=True,
        defer_build=True,
    )

    n: Count
    run: Count
    at: Wall
    tick: Tick

    mendable: ClassVar[bool] = True
    """Whether `amend` may change it."""


class Shot(Entry):
    """The shot that is being made from now on, with what it asks of its heroes."""

    kind: Literal["shot"] = "shot"
    name: Name
    look: Look
    lamp: LampKind
    lux: float = Field(ge=0, le=200_000)
    flavours: Names = ()
    spots: Names = ()
    takes: int = Field(default=1, ge=1, le=1000)
    spares: int = Field(default=0, ge=0, le=1000)
    dressing_s: Span = 0.0

    @check_model(mode="after")
    def _paired(self) -> Shot:
        if len(self.flavours) != len(self.spots):
            raise ValueError("each spot needs its flavour: give as many flavours as spots")
        return self


class LockCall(Entry):
    """Light, set or camera locked or freed."""

    kind: Literal["lock"] = "lock"
    which: Lock
    on: bool


class Pull(Entry):
    """A scoop drawn from its tub."""

    kind: Literal["pull"] = "pull"
    scoop: Number
    flavour: Name
    to: Literal["box", "tray"]


class Judge(Entry):
    """What a scoop is good enough for."""

    kind: Literal["judge"] = "judge"
    scoop: Number
    judged: Judgement = Field(alias="as")


class Move(Entry):
    """A waiting scoop put somewhere else."""

    kind: Literal["move"] = "move"
    scoop: Number
    to: Store
    assumed_pull_s: Span | None = None


class StandIn(Entry):
    """A scoop or prop that the light is built on, put on set or taken off."""

    kind: Literal["stand_in"] = "stand_in"
    on: bool
    scoop: Number | None = None
    prop: Name | None = None
    assumed_pull_s: Span | None = None

    @check_model(mode="after")
    def _one(self) -> StandIn:
        if (self.scoop is None) == (self.prop is None):
            raise ValueError("a stand-in is either a scoop or a prop")
        return self


class HeroIn(Entry):
    """Scoops placed on set for the camera, each with its flavour and spot in the frame."""

    kind: Literal["hero_in"] = "hero_in"
    scoops: Scoops
    flavours: Names = ()
    spots: Names = ()
    shot: Name | None = None
    assumed_pull_s: Span | None = None

    @check_model(mode="after")
    def _paired(self) -> HeroIn:
        if len(set(self.scoops)) != len(self.scoops):
            raise ValueError("a scoop can be in one spot only")
        if any(len(given) not in (0, len(self.scoops)) for given in (self.flavours, self.spots)):
            raise ValueError("give as many flavours and spots as scoops, or none")
        return self


class Swap(Entry):
    """One scoop taken off its spot and another put there."""

    kind: Literal["swap"] = "swap"
    out: Number
    into: Number = Field(alias="in")
    spot: Name | None = None
    flavour: Name | None = None
    assumed_pull_s: Span | None = None

    @check_model(mode="after")
    def _two(self) -> Swap:
        if self.out == self.into:
            raise ValueError("a swap needs two different scoops")
        return self


class Out(Entry):
    """Scoops taken away, and why."""

    kind: Literal["out"] = "out"
    scoops: Annotated[Scoops, AfterValidator(once)]
    why: Why
    assumed_pull_s: Span | None = None


class LookSeen(Entry):
    """A visible change seen on a scoop."""

    kind: Literal["look"] = "look"
    scoop: Number
    seen: Seen
    assumed_pull_s: Span | None = None


class GotIt(Entry):
    """The art director has the shot."""

    kind: Literal["got_it"] = "got_it"
    shot: Name


class Hold(Entry):
    """Work on set stops."""

    kind: Literal["hold"] = "hold"
    why: Text | None = None


class Resume(Entry):
    """Work on set goes on."""

    kind: Literal["resume"] = "resume"
    why: Text | None = None


class TopUp(Entry):
    """Dry ice added."""

    kind: Literal["top_up"] = "top_up"
    mass_kg: Mass
    form: Form
    where: Literal["set", "box"] = "set"


class IceCleared(Entry):
    """All dry ice taken away from the set or the box."""

    kind: Literal["ice_cleared"] = "ice_cleared"
    where: Literal["set", "box"] = "set"


class Lamp(Entry):
    """The modelling lamp or hot light switched."""

    kind: Literal["lamp"] = "lamp"
    on: bool


class TubOut(Entry):
    """A tub taken out of the freezer."""

    kind: Literal["tub_out"] = "tub_out"
    flavour: Name


class TubBack(Entry):
    """A tub put back into the freezer."""

    kind: Literal["tub_back"] = "tub_back"
    flavour: Name


class Reading(Entry):
    """A measured value: temperatures in °C, humidity as a fraction, light in lux, CO₂ in ppm."""

    kind: Literal["reading"] = "reading"
    what: Measured
    value: float

    @check_model(mode="after")
    def _possible(self) -> Reading:
        low, high = READING_SPANS[self.what]
        if not low <= self.value <= high:
            raise ValueError(f"a reading of {self.what} must be from {low:g} to {high:g}")
        return self


class Frame(Entry):
    """A picture taken."""

    kind: Literal["frame"] = "frame"
    name: Name
    shot: Name | None = None
    mendable: ClassVar[bool] = False


class Note(Entry):
    """Words worth keeping."""

    kind: Literal["note"] = "note"
    text: Text


class Amend(Entry):
    """A change to an earlier entry: its tick or its own fields."""

    kind: Literal["amend"] = "amend"
    entry: Count
    change: Change
    mendable: ClassVar[bool] = False


class TakeBack(Entry):
    """An earlier entry undone without being deleted."""

    kind: Literal["take_back"] = "take_back"
    entry: Count
    mendable: ClassVar[bool] = False


class Opened(Entry):
    """A run began: the file was opened for writing.

    `boot` and `boot_s` are the start of the machine and where tick 0 lies on the clock that counts from it;
    `since_s` is how long after the entry before this run was opened, where somebody knows better than the wall clock.
    """

    kind: Literal["opened"] = "opened"
    version: Name
    machine: Name
    boot: Name | None = None
    boot_s: float | None = Field(default=None, ge=0, le=LONGEST_BOOT_S)
    since_s: float | None = Field(default=None, ge=0, le=LONGEST_RUN_S)
    mendable: ClassVar[bool] = False


class Closed(Entry):
    """A run ended as it should."""

    kind: Literal["closed"] = "closed"
    version: Name
    machine: Name
    mendable: ClassVar[bool] = False


AnyEntry = (
    Shot | LockCall | Pull | Judge | Move | StandIn | HeroIn | Swap | Out | LookSeen | GotIt | Hold | Resume | TopUp
    | IceCleared | Lamp | TubOut | TubBack | Reading | Frame | Note | Amend | TakeBack | Opened | Closed
)  # fmt: skip
KINDS: dict[str, type[Entry]] = {model.model_fields["kind"].default: model for model in get_args(AnyEntry)}

CALLS = tuple(kind for kind in KINDS if kind not in ("opened", "closed"))
"""The kinds that people call; the others the program writes itself."""

ENTRY: TypeAdapter[AnyEntry] = TypeAdapter(Annotated[AnyEntry, Field(discriminator="kind")])


def fields_of(entry: AnyEntry) -> dict[str, Any]:
    """Return an entry's fields under the names the file has.

    Through the one adapter of all kinds: each model's own would be built when first used.
    """
    fields: dict[str, Any] = ENTRY.dump_python(entry, by_alias=True)
    return fields


class BadLineError(ValueError):
    """Something is not an entry; the message says why."""


@cache
def field_names(kind: str) -> tuple[str, ...]:
    """Return the names, as the file has them, of a kind's own fields."""
    fields = KINDS[kind].model_fields.items()
    return tuple(field.alias or name for name, field in fields if name != "kind" and name not in Entry.model_fields)


def make(kind: str, **fields: Any) -> AnyEntry:
    """Return a valid entry of `kind`.

    Raises BadLineError with one sentence naming the field that cannot be.
    """
    return made(kind, fields)


def made(kind: str, fields: Mapping[str, Any]) -> AnyEntry:
    """Return a valid entry of `kind` from fields with any names; see `make`."""
    if kind not in KINDS:
        raise BadLineError(f"there is no call named {shown(kind)}; the calls are {', '.join(CALLS)}")
    try:
        return ENTRY.validate_python({**fields, "kind": kind})
    except ValidationError as error:
        raise BadLineError(f"{kind}: {first_problem(error, field_names(kind), tagged=True)}") from None
