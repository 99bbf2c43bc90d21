"""What can be read on set: one row a kind of reading."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, NamedTuple, get_args

from studiotimer import units
from studiotimer.prep.plan import Plan
from studiotimer.session.entries import Shot
from studiotimer.thermal.charge import OUTDOOR_PPM

Measured = Literal["air_c", "humidity", "box_c", "freezer_c", "core_c", "room_c", "plate_c", "lux", "co2_ppm"]
MEASURED: tuple[Measured, ...] = get_args(Measured)


class Measure(NamedTuple):
    """A kind of reading: its name, what kind of number it is, the step it is called by, its words, where it begins.

    Values are °C, a fraction, lux or ppm. `usual` is what is offered before the first one was read, from the plan and
    the shot that is being made.
    """

    name: str
    quantity: units.Quantity
    step: float
    words: Callable[[float], str]
    usual: Callable[[Plan, Shot | None], float]

    @property
    def low(self) -> float:
        """The least it can be."""
        return self.quantity.low

    @property
    def high(self) -> float:
        """The most it can be."""
        return self.quantity.high

    def stepped(self) -> float:
        """Return the step it is called by: a whole °F where those are shown."""
        return units.K_PER_F if self.quantity.unit == "degC" and units.shown_in() == "US" else self.step


def _degrees(value: float) -> str:
    return units.temperature(value, digits=1 if units.shown_in() == "metric" else 0)


def _celsius(name: str, kind: units.Quantity, step: float, usual: Callable[[Plan, Shot | None], float]) -> Measure:
    return Measure(name, kind, step, _degrees, usual)


def _plate_usual(plan: Plan, shot: Shot | None) -> float:
    return plan.room.air_c if shot is None or shot.plate_c is None else shot.plate_c


MEASURES: dict[Measured, Measure] = {
    "air_c": _celsius(
        "air at the set", units.TEMPERATURE._replace(usual=(-40.0, 40.0)), 0.5, lambda plan, _: plan.room.air_c
    ),
    "humidity": Measure(
        "humidity", units.PERCENT, 0.01, lambda v: f"{v * 100:.0f} %", lambda plan, _: plan.room.humidity
    ),
    "box_c": _celsius("box", units.BOX, 1.0, lambda plan, _: plan.dry_ice.box_c),
    "freezer_c": _celsius(
        "freezer", units.FREEZER, 0.5, lambda plan, _: -18.0 if plan.freezer_c is None else plan.freezer_c
    ),
    "core_c": _celsius("core", units.CORE, 0.5, lambda plan, _: -18.0 if plan.freezer_c is None else plan.freezer_c),
    "plate_c": _celsius("plate", units.TEMPERATURE._replace(usual=(-30.0, 40.0)), 0.5, _plate_usual),
    "room_c": _celsius("room", units.WARMTH, 0.5, lambda plan, _: plan.room.air_c),
    "lux": Measure(
        "light", units.ILLUMINANCE, 100.0, lambda v: f"{v:,.0f} lx", lambda _, shot: shot.lux if shot else 2000.0
    ),
    "co2_ppm": Measure("CO₂ monitor", units.CO2, 50.0, lambda v: f"{v:,.0f} ppm", lambda *_: OUTDOOR_PPM),
}


def reading_words(what: Measured, value: float, named: bool = False) -> str:
    """Return a reading as a crew reads it, with what was measured when `named`."""
    measure = MEASURES[what]
    return f"{measure.name} {measure.words(value)}" if named else measure.words(value)
