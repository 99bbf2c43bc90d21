"""A card for each shot, to pin beside the set: where its scoops sit, when, how long, and what is done to them."""

from __future__ import annotations

from dataclasses import dataclass

from studiotimer import units
from studiotimer.prep.day import Slot
from studiotimer.prep.found import Fact, counted
from studiotimer.prep.plan import Plan, Shot
from studiotimer.prep.results import Results
from studiotimer.prep.shots import ShotResult
from studiotimer.prep.steps import USUALLY


@dataclass(frozen=True)
class Card:
    """One shot's card. `spots` are (spot, flavour), `steps` are (what, who), ticked as they are done."""

    title: str
    bad: str
    facts: tuple[Fact, ...]
    spots: tuple[tuple[str, str], ...]
    steps: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]


def cards_of(results: Results) -> tuple[Card, ...]:
    """Return a card for each shot of a plan, in their order."""
    slots = zip(results.shots, results.day.slots, strict=True)
    return tuple(_card(results, found, slot, number) for number, (found, slot) in enumerate(slots, 1))


def _card(results: Results, found: ShotResult, slot: Slot, number: int) -> Card:
    shot = slot.shot
    window = found.iced or found.plain
    facts = (
        Fact(f"{slot.heroes:%H:%M}", "heroes from"),
        Fact(f"{slot.early:%H:%M} to {slot.late:%H:%M}", "ends"),
        Fact(shot.look, "look"),
        Fact(window.text, "window, min:s on set"),
        Fact(f"{shot.takes} × {shot.frames}", f"takes × frames, {shot.between_s:g} s apart"),
        Fact(found.frames_fit.text, f"fit in one; {counted(slot.groups, 'hero', 'heroes')} planned a spot"),
    )
    return Card(
        f"{number}  {shot.name}",
        "" if found.works else found.verdict,
        facts,
        tuple((hero.spot, hero.flavour) for hero in shot.heroes),
        tuple(_steps(shot, results.style)),
        tuple(_notes(results.plan, found, slot)),
    )


def _steps(shot: Shot, style: units.Style) -> list[tuple[str, str]]:
    """Return what is done to each hero, or that it is dressed where no step is told."""
    said = []
    for step in shot.steps:
        warm = "" if step.temperature_c is None else f" at {units.temperature(step.temperature_c, style)}"
        amount = f", {step.amount} a scoop" if step.amount else ""
        said.append((f"{step.what}{warm}{amount}, {units.duration(step.seconds_s)}", step.who or USUALLY))
    if not said and shot.dressing_s > 0.0:
        said.append((f"dressed, {units.duration(shot.dressing_s)}", USUALLY))
    return said


def _notes(plan: Plan, found: ShotResult, slot: Slot) -> list[str]:
    shot = slot.shot
    stands = "" if shot.stands_on is None else f"; stands on {shot.stands_on}, {_plate(shot)}"
    notes = [f"Light: {shot.light}{stands}."]
    spans = []
    if slot.locks > slot.start:
        spans.append(f"set changed {slot.start:%H:%M}")
    spans.append("nothing moves from the shot before" if shot.nothing_moves else f"locks {slot.locks:%H:%M}")
    if slot.end > slot.over:
        spans.append(f"client's approval {slot.over:%H:%M}")
    said = "; ".join(spans)
    notes.append(f"{said[0].upper()}{said[1:]}. Reset between heroes {units.duration(plan.reset_s)}.")
    return [*notes, *(f"{each.text[0].upper()}{each.text[1:]}." for each in found.said)]


def _plate(shot: Shot) -> str:
    return shot.plate_is if shot.plate_is != "as the set" else "plate as warm as the set"
