"""What every entry of a session file has, the words fields are made of, and the shot, which the state keeps whole."""

from functools import cache
from typing import ClassVar, Literal, Self, get_args

from pydantic import BaseModel, ConfigDict, Field
from pydantic import model_validator as check_model

from studiotimer.prep.looks import Look
from studiotimer.prep.parts import PlateIs
from studiotimer.session.fields import CallId, Count, Name, Names, Span, Tick, Wall
from studiotimer.thermal.charge import Form

LampKind = Literal["LED", "daylight", "HMI", "tungsten", "flash"]
Store = Literal["freezer", "box", "tray"]
Judgement = Literal["hero", "spare", "reject"]
Seen = Literal["sheen", "edges", "first drip", "slump", "foot", "frost", "dew", "dew runs"]
Lock = Literal["light", "set", "camera"]
Wiped = Literal["frost", "dew"]
Why = Literal["gone", "got it", "dropped", "restyle"]

STORES: tuple[Store, ...] = get_args(Store)
SEEN: tuple[Seen, ...] = get_args(Seen)
STAGES_SEEN = SEEN[:4]
"""Those that come one after another; a foot may come before any of them."""
WALL_SEEN = SEEN[5:]
"""Those of a closed pack's wall."""
LOCKS: tuple[Lock, ...] = get_args(Lock)
FORMS: tuple[Form, ...] = get_args(Form)
WHYS: tuple[Why, ...] = get_args(Why)
JUDGEMENTS: tuple[Judgement, ...] = get_args(Judgement)


class Entry(BaseModel):
    """What every entry has: its number, run, wall time (UTC), tick in seconds since the run began, and its kind.

    One called on a phone has the phone's name, and the id that the phone gave the call: however often that is sent,
    it is one entry.
    """

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
    kind: str
    phone: Name | None = None
    call_id: CallId | None = None

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
    keeps_locks: bool = True
    """Whether the locks stay as they were for the shot before; a file that does not say was made when they did."""
    stands_on: Name | None = None
    """What its heroes stand on, None where that is not told: no foot is foretold."""
    plate_m: float | None = Field(default=None, ge=0.0002, le=0.1)
    plate_is: PlateIs = "as the set"
    plate_c: float | None = Field(default=None, ge=-80, le=60)
    base_m: float | None = Field(default=None, ge=0.004, le=0.16)
    stacked: bool = False
    """Whether its heroes stand one on another, the first spot lowest."""
    foot_in_frame: bool = False
    """Whether the foot is seen, so that it ends the crisp and sheen windows."""

    @check_model(mode="after")
    def _paired(self) -> Self:
        if len(self.flavours) != len(self.spots):
            raise ValueError("each spot needs its flavour: give as many flavours as spots")
        if self.stands_on is not None:
            from studiotimer.plates import named  # read only where it is wanted

            named(self.stands_on, "stands_on")
        return self


@cache
def names_of(model: type[Entry]) -> dict[str, str]:
    """Return the fields of a kind of entry, each with the name the file has for it."""
    return {name: field.alias or name for name, field in model.model_fields.items()}


def fields_of(entry: Entry) -> dict[str, object]:
    """Return an entry's fields under the names the file has."""
    return {alias: getattr(entry, name) for name, alias in names_of(type(entry)).items()}
