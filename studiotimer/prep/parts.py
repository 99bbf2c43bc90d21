"""The parts of a plan: studio, tubs, flavours, shots, dry ice, and what was learned before."""

import datetime as dt
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from studiotimer.mix_table import BOOK_MEAN, BOOK_SD
from studiotimer.plain import plain
from studiotimer.prep.amounts import AmountText
from studiotimer.prep.looks import Look
from studiotimer.prep.plan_numbers import (
    Boxed,
    Changes,
    Hours,
    Leak,
    Length,
    Mass,
    Minutes,
    Percent,
    Poured,
    Sheet,
    Span,
    Temperature,
    Volume,
    Warmth,
    Written,
)
from studiotimer.prep.slots import parse_grid
from studiotimer.prep.times import Day, TimeOfDay
from studiotimer.thermal.charge import Form
from studiotimer.thermal.light import Tone


def _on_one_line(value: str) -> str:
    if value and not plain(value):
        raise ValueError("it has nothing that can be read; write a name")
    return plain(value)


PlateIs = Literal["as the set", "chilled", "with its hero"]
Sold = Literal["by weight", "blocks", "bags"]
Name = Annotated[str, Field(min_length=1, max_length=80), AfterValidator(_on_one_line)]
Said = Annotated[str, Field(max_length=200), AfterValidator(plain)]
"""Words on one line, empty where nobody said."""
Count = Annotated[int, Field(ge=0, le=100)]
AtLeastOne = Annotated[int, Field(ge=1, le=200)]


class Studio(Sheet):
    """The room the set stands in."""

    air_c: Warmth = Written(22.0, "22 °C")
    humidity: Percent = Written(0.45, "45 %")
    volume_m3: Volume = Written(200.0, "200 m3")
    changes_per_s: Changes = Written(2 / 3600, "2/h")


class Tub(Sheet):
    """A container of product: a trade size by name, or its own dimensions; `cut` pieces or whole (1)."""

    size: str | None = None
    across_m: Length | None = None
    length_m: Length | None = None
    depth_m: Length | None = None
    cut: Annotated[int, Field(ge=1, le=12)] = 1

    @model_validator(mode="after")
    def _sized(self) -> Self:
        if self.size is None and (self.across_m is None or self.depth_m is None):
            raise ValueError("it needs a trade size, or how far across and how deep it is; write “3 gallon”")
        return self


class Flavour(Sheet):
    """One product on the shoot. `mix` is a class name, or a recipe or carton label as a mix file has it."""

    name: Name
    mix: Annotated[str, Field(min_length=1)] | dict[str, object] = "premium"
    tone: Tone = "pale"
    freezer: Annotated[int, Field(ge=1, le=20)] = 1
    form: Annotated[str, Field(min_length=1, max_length=80)] = "scoop"
    """What is pulled of it, with its size where it has one of its own: “bar 20 x 60 x 100 mm”."""
    tub: Tub | None = None
    spare_tubs: Annotated[int, Field(ge=0, le=20)] = 1
    """Tubs ordered over what the pulls need: one may arrive soft, or be dropped."""

    @property
    def mix_name(self) -> str:
        """Return the name the mix is learned under: its class, or its own name, else the flavour's."""
        if isinstance(self.mix, str):
            return self.mix
        inner = self.mix.get("recipe", self.mix.get("label", self.mix))
        return str(inner.get("name", self.name)) if isinstance(inner, dict) else self.name


class Hero(Sheet):
    """One scoop in the frame: its flavour and its spot."""

    flavour: Name
    spot: Annotated[str, Field(max_length=60), AfterValidator(_on_one_line)] = ""


class Step(Sheet):
    """One thing done to the heroes once they stand there; one with a temperature is a sauce that is poured."""

    what: Name
    who: Annotated[str, Field(max_length=80), AfterValidator(_on_one_line)] = ""
    seconds_s: Span = Written(10.0, "10 s")
    temperature_c: Poured | None = None
    amount: AmountText = ""
    """What one scoop gets of it: "20 g", "15 ml", "2 wafers"; empty: not ordered by this plan."""


class Shot(Sheet):
    """One picture wanted. `frames` are wanted of each take, one every `between_s`.

    `spares` and `stand_ins` are the shot's together, shared among its flavours and rounded up for each.
    """

    name: Name
    look: Look = "crisp"
    light: Name = "LED 2000 lx"
    heroes: Annotated[list[Hero], Field(min_length=1, max_length=40)]
    takes: AtLeastOne = 1
    dressing_s: Span = Written(20.0, "20 s")
    """The sum of the steps' seconds where steps are given."""
    steps: Annotated[list[Step], Field(max_length=20)] = Field([])
    frames: AtLeastOne = 8
    between_s: Annotated[Span, Field(gt=0)] = Written(6.0, "6 s")
    spares: Count = 1
    stand_ins: Count = 1
    set_change_s: Minutes = Written(0.0, "0 min")
    """The set changed for this shot, before its locks."""
    locks_s: Minutes = Written(1200.0, "20 min")
    approval_s: Minutes = Written(0.0, "0 min")
    """The client looks at the shot and says yes, after its last frame."""
    nothing_moves: bool = False
    """Whether light, set and camera stay locked from the shot before."""
    stands_on: Annotated[str, Field(min_length=1, max_length=60)] | None = None
    """What its heroes stand on; not told: no foot is foretold."""
    plate_m: Length | None = None
    plate_is: PlateIs = "as the set"
    plate_at_c: Temperature | None = None
    base_m: Length | None = None
    stacked: bool = False
    """Whether its heroes stand one on another, the first spot lowest: one unit, replaced whole."""
    foot_in_frame: bool = False
    """Whether the foot is seen, so that it ends the crisp and sheen windows."""

    @model_validator(mode="after")
    def _spots_differ(self) -> Self:
        if not any(hero.spot for hero in self.heroes):
            single = len(self.heroes) == 1
            for number, hero in enumerate(self.heroes, 1):
                hero.spot = "centre" if single else f"spot {number}"
        spots = [hero.spot for hero in self.heroes]
        if "" in spots or len(set(spots)) < len(spots):
            raise ValueError("every hero needs a spot of its own; write left, middle, right")
        return self

    @model_validator(mode="after")
    def _dressed_by_its_steps(self) -> Self:
        if self.steps:
            seconds = sum(float(step.seconds_s) for step in self.steps)
            self.__dict__["dressing_s"] = Written(seconds, f"{seconds:g} s")  # assigning would check it all again
        return self


def _grid(text: str) -> str:
    if text.strip():
        parse_grid(text)
    return text.strip()


Grid = Annotated[str, BeforeValidator(lambda text: "" if text is None else text), AfterValidator(_grid)]
"""Columns x rows of slots, such as "4 x 3"; empty where nobody asks which slot a scoop is in."""


class DryIce(Sheet):
    """Dry ice: in the holding box, and on set to hold a target local air (none: no dry ice on set)."""

    holding_box: bool = True
    box_loss_kg_per_s: Leak = Written(8 * 0.45359237 / 86400, "8 lb/day")
    box_grid: Grid = ""
    tray_grid: Grid = ""
    box_c: Boxed = Written(-40.0, "-40 °C")
    box_wait_s: Minutes = Written(600.0, "10 min")
    hours_s: Hours | None = None
    target_air_c: Temperature | None = None
    top_up_every_s: Annotated[Minutes, Field(ge=60)] = Written(1800.0, "30 min")
    form: Form = "slab"
    gain_k_per_w: Annotated[float, Field(gt=0, le=5)] = 0.15
    pickup_before_s: Hours = Written(7200.0, "2 h")
    margin: Percent = Written(0.15, "15 %")
    sold: Sold = "by weight"
    unit_kg: Mass | None = None
    """What one block or bag weighs; None: as usual."""
    minimum_kg: Mass | None = None
    """The least the supplier sells; None: no least."""
    fetch_from: TimeOfDay = dt.time(7, 0)
    fetch_until: TimeOfDay = dt.time(17, 0)
    """Between when it is fetched: the supplier's hours."""
    supplier: Said = ""
    contact: Said = ""
    phone: Said = ""
    email: Said = ""
    order_by: Day | None = None
    co2_monitor: bool = False

    @property
    def used(self) -> bool:
        """Return whether there is any dry ice."""
        return self.holding_box or self.target_air_c is not None


class Learned(Sheet):
    """What earlier shoots taught about a mix: the prior of its share of tau."""

    mean: float = BOOK_MEAN
    sd: Annotated[float, Field(gt=0)] = BOOK_SD
