"""What stands in the tiles' place while nothing waits: freezers as planned and read, and what is still to be pulled.

Pure.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from studiotimer.prep.plan import Flavour, Plan
from studiotimer.session.desk import inside
from studiotimer.session.freezers import DOOR_S, WARM_K, FreezerNow, TubNow
from studiotimer.session.freezers import apart as _apart
from studiotimer.session.state import State
from studiotimer.session.tub_ledger import open_of
from studiotimer.session.wanted import spares_of
from studiotimer.units import duration, temperature
from studiotimer.window.set.flavours import Palette

WARM = ("its freezer is too warm", "freezer too warm", "too warm")
NEAR_K = 1.0
"""A freezer this near its planned setting is as planned (own rule)."""


class FreezerCard(NamedTuple):
    """One freezer: its planned setting and what was read [°C], how that is, and what to do.

    `beside` stands beside the figure, `said` under it; `warm` is the freezer, `alarm` whatever wants doing.
    """

    name: str
    planned_c: float
    read_c: float | None
    said: str
    warm: bool
    beside: str = ""
    alarm: bool = False

    @property
    def words(self) -> str:
        """What a reader says of it."""
        read = "not read" if self.read_c is None else temperature(self.read_c, digits=1)
        parts = (self.name, f"plan {temperature(self.planned_c)}", read, self.beside, self.said)
        return ", ".join(part for part in parts if part)


class FlavourCard(NamedTuple):
    """One flavour of the shot: how many scoops it needs, how many were pulled, and how its tub is.

    `tub` says the core that was read, or that its freezer is too warm, in words ever shorter; `alarm` that it is not to
    be pulled now.
    """

    forms: tuple[str, ...]
    colour: str
    where: str
    pulled: int
    needs: int
    tub_out: bool
    tub: tuple[str, ...] = ()
    alarm: bool = False

    @property
    def said(self) -> str:
        """How many are still to be pulled."""
        left = max(self.needs - self.pulled, 0)
        return f"{self.pulled} pulled of {self.needs}" + (", tub out" if self.tub_out else "" if left else ", enough")

    @property
    def words(self) -> str:
        """What a reader says of it."""
        return ", ".join(part for part in (self.forms[0], self.where, self.said, *self.tub[:1]) if part)


Card = FreezerCard | FlavourCard


def cold_cards(plan: Plan, state: State, freezers: Sequence[FreezerNow], now: float, palette: Palette) -> list[Card]:
    """Return the freezers of the shot's flavours, where their tubs are and where they belong, and those flavours."""
    asked = state.shot.flavours if state.shot else [flavour.name for flavour in plan.flavours]
    flavours = [flavour for flavour in plan.flavours if flavour.name in asked]
    named = len(plan.freezer_names) > 1 or bool(plan.freezers)
    where = {flavour: one for one in freezers for flavour in one.flavours}
    wanted = {where[one.name].number for one in flavours if one.name in where} | {one.freezer for one in flavours}
    cards: list[Card] = [
        _freezer(one, one.name if named else "freezer", one.planned_c, now)
        for one in freezers
        if one.number in wanted and one.planned_c is not None
    ]
    return cards + [_flavour(plan, state, one, where.get(one.name), named, palette) for one in flavours]


def _left(plan: Plan, state: State, flavour: Flavour) -> tuple[str, ...]:
    """Return how many pulls the tub that is pulled from has left, in words ever shorter; none before its first pull."""
    now = open_of(plan, state, flavour.name)
    if now is None or not (now.pulled > 0 or flavour.name in state.tubs_finished):
        return ()
    return now.said, f"{now.name}, {now.left} left", f"{now.left} left"


def _flavour(
    plan: Plan, state: State, flavour: Flavour, freezer: FreezerNow | None, named: bool, palette: Palette
) -> FlavourCard:  # fmt: skip
    shot = state.shot
    asked = Counter(shot.flavours) if shot else Counter([flavour.name])
    begun = state.shot_since if shot else 0.0
    tub = next((one for one in freezer.tubs if one.flavour == flavour.name), None) if freezer else None
    warm = freezer is not None and freezer.too_warm
    off = tub is not None and bool(tub.said) and not tub.ready
    pulled = sum(one.flavour == flavour.name and one.pulled >= begun for one in state.scoops.values())
    wanted = asked[flavour.name] * (shot.takes if shot else 1) + spares_of(state)[flavour.name]
    return FlavourCard(
        palette.forms(flavour.name),
        palette.colour(flavour.name),
        inside(plan, state, flavour.name) if named else "this shot",
        pulled,
        min(wanted, pulled) if state.shot_got else wanted,
        flavour.name in state.tubs_out,
        _core(tub) if tub and (off or not warm) else WARM if warm else _left(plan, state, flavour),
        off or warm,
    )


def _core(tub: TubNow) -> tuple[str, ...]:
    """Return how a tub's core is, in words ever shorter."""
    core = temperature(tub.core_c, digits=1)
    if not tub.said:
        return (f"core {core}", core)
    short = "ready to pull" if tub.ready else tub.said.partition(" too ")[2].removesuffix(" to pull")
    short = short if tub.ready else f"too {short}"
    return (f"core {core}, {tub.said}", f"core {core}, {short}", f"{core}, {short}", short)


def _freezer(freezer: FreezerNow, name: str, planned_c: float, now: float) -> FreezerCard:
    """Return a freezer's card: a door that is open and what to do come before how it was read."""
    opened = freezer.door_open_since
    door = "" if opened is None else f"door open {duration(max(now - opened, 0.0))}"
    late = opened is not None and now - opened > DOOR_S
    if freezer.read_c is None or freezer.since is None:
        said = door or "not read yet"
        return FreezerCard(name, planned_c, None, f"{said}: close it" if late else said, False, alarm=late)
    off = freezer.read_c - planned_c
    if freezer.too_warm:
        beside = door or f"{_apart(off).split()[0]} too warm"
        return FreezerCard(name, planned_c, freezer.read_c, freezer.do, True, beside, alarm=True)
    ago = f"read {duration(max(now - freezer.since, 0.0))} ago"
    colder = f"{_apart(-off)} colder than planned"
    how = "as planned" if abs(off) <= NEAR_K else colder if off < -WARM_K else f"{_apart(abs(off))} off"
    if late:
        return FreezerCard(name, planned_c, freezer.read_c, "close its door", False, door, alarm=True)
    return FreezerCard(name, planned_c, freezer.read_c, f"{ago}, {how}", False, door)
