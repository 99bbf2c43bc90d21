"""The steps of each shot on the run sheet: what is done to its heroes once they stand there, by whom, how warm."""

from __future__ import annotations

from collections.abc import Iterable

from studiotimer import units
from studiotimer.prep.day import Day
from studiotimer.prep.parts import Step
from studiotimer.prep.runsheet import Event

USUALLY = "stylist"


def with_steps(events: Iterable[Event], day: Day, style: units.Style) -> tuple[Event, ...]:
    """Return a run sheet with the steps of each shot after its heroes; they are done to every group of heroes anew."""
    steps = [
        Event(
            f"step {number} {slot.shot.name}", slot.heroes, None, f"{slot.shot.name}: {words(step, style)}",
            step.who or USUALLY, "for each group of heroes, as they are dressed",
        )
        for slot in day.slots
        for number, step in enumerate(slot.shot.steps, 1)
    ]  # fmt: skip
    return tuple(sorted([*events, *steps], key=lambda event: event.at))


def words(step: Step, style: units.Style) -> str:
    """Return a step as a crew reads it: "berry sauce poured at 25 °C, 0:10"."""
    poured = "" if step.temperature_c is None else f" poured at {units.temperature(step.temperature_c, style)}"
    return f"{step.what}{poured}, {units.duration(step.seconds_s)}"
