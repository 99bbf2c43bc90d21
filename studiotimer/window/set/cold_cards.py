"""What stands in the tiles' place while nothing waits: freezers as planned and read, and what is still to be pulled.

Pure.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from studiotimer.prep.plan import Plan
from studiotimer.session.desk import inside
from studiotimer.session.freezers import WARM_K, too_warm
from studiotimer.session.freezers import apart as _apart
from studiotimer.session.state import Change, State
from studiotimer.session.wanted import spares_of
from studiotimer.units import duration, temperature
from studiotimer.window.set.flavours import Palette

NEAR_K = 1.0
"""A freezer this near its planned setting is as planned (own rule)."""


@dataclass(frozen=True)
class FreezerCard:
    """One freezer: its planned setting, what was read, how that is; °C."""

    name: str
    planned_c: float
    read_c: float | None
    said: str
    warm: bool

    @property
    def words(self) -> str:
        """What a reader says of it."""
        read = "not read" if self.read_c is None else temperature(self.read_c, digits=1)
        return f"{self.name}, plan {temperature(self.planned_c)}, {read}, {self.said}"


@dataclass(frozen=True)
class FlavourCard:
    """One flavour of the shot: how many scoops it needs, how many were pulled, whether its tub is out."""

    forms: tuple[str, ...]
    colour: str
    where: str
    pulled: int
    needs: int
    tub_out: bool

    @property
    def said(self) -> str:
        """How many are still to be pulled."""
        left = max(self.needs - self.pulled, 0)
        return f"{self.pulled} pulled of {self.needs}" + (", tub out" if self.tub_out else "" if left else ", enough")

    @property
    def words(self) -> str:
        """What a reader says of it."""
        return f"{self.forms[0]}, {self.where}, {self.said}"


Card = FreezerCard | FlavourCard


def cold_cards(plan: Plan, state: State, planned: Mapping[int, float], now: float, palette: Palette) -> list[Card]:
    """Return the freezers of the shot's flavours and those flavours; `planned` is each freezer's setting [°C]."""
    asked = state.shot.flavours if state.shot else [flavour.name for flavour in plan.flavours]
    named = [flavour for flavour in plan.flavours if flavour.name in asked]
    freezers = dict.fromkeys(flavour.freezer for flavour in named)
    named_freezers = len(plan.freezer_names) > 1 or bool(plan.freezers)
    names = plan.freezer_names
    cards: list[Card] = [
        _freezer(names[number] if named_freezers else "freezer", state.read_of(names[number]), planned[number], now)
        for number in freezers
        if number in planned
    ]
    spots, spares = Counter(asked), spares_of(state)
    takes = state.shot.takes if state.shot else 1
    begun = state.shot_since if state.shot else 0.0
    for flavour in named:
        pulled = sum(one.flavour == flavour.name and one.pulled >= begun for one in state.scoops.values())
        cards.append(
            FlavourCard(
                palette.forms(flavour.name),
                palette.colour(flavour.name),
                inside(plan, state, flavour.name) if named_freezers else "this shot",
                pulled,
                spots[flavour.name] * takes + spares[flavour.name],
                flavour.name in state.tubs_out,
            )
        )
    return cards


def _freezer(name: str, history: Sequence[Change], planned_c: float, now: float) -> FreezerCard:
    if not history:
        return FreezerCard(name, planned_c, None, "not read yet", False)
    last = history[-1]
    off = last.value - planned_c
    ago = f"read {duration(max(now - last.at, 0.0))} ago"
    if too_warm(history, planned_c):
        return FreezerCard(name, planned_c, last.value, f"{_apart(off)} too warm: soft pulls", True)
    if off < -WARM_K:
        return FreezerCard(name, planned_c, last.value, f"{_apart(-off)} colder than planned", False)
    said = "as planned" if abs(off) <= NEAR_K else f"{_apart(abs(off))} off"
    return FreezerCard(name, planned_c, last.value, f"{ago}, {said}", False)
