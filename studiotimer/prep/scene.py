"""What a plan's words stand for: mixes, lights, tubs, and the cold each flavour is kept at."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from studiotimer.forms import build, draws_at_c
from studiotimer.lamps import parse_light, told
from studiotimer.mixes import find_mix, mix_from_data
from studiotimer.prep.plan import Flavour, Plan, PlanError, Shot, Tub
from studiotimer.prep.plan_problems import Problem
from studiotimer.prep.standing import standing_checks
from studiotimer.prep.tubs import size_of
from studiotimer.thermal.firmness import advised_freezer_c
from studiotimer.thermal.light import Light
from studiotimer.thermal.mix import Mix, MixError
from studiotimer.thermal.ruffle import Build
from studiotimer.units import UnitError


def mix_of(flavour: Flavour) -> Mix:
    """Return the flavour's mix; raises PlanError naming the flavour when it is not known or cannot be."""
    try:
        if isinstance(flavour.mix, str):
            return find_mix(flavour.mix)
        return mix_from_data(flavour.mix, flavour.name)
    except MixError as error:
        raise PlanError(f"flavour {flavour.name}, {error}") from None


def build_of(plan: Plan, flavour: Flavour) -> Build:
    """Return how a flavour's scoop, or other form, is built; raises PlanError naming the flavour where it cannot be."""
    try:
        return build(flavour.form, float(plan.width_m), float(plan.edge_m))
    except UnitError as error:
        raise PlanError(f"flavour {flavour.name}, {error}") from None


def light_of(shot: Shot) -> Light | None:
    """Return the shot's light, None for no heat; raises PlanError naming the shot when it cannot be read."""
    try:
        return parse_light(shot.light)
    except UnitError as error:
        raise PlanError(f"shot {shot.name}, {error}") from None


def usual_light(shot: Shot) -> str:
    """Return the shot's light in words where no meter was read for it, nothing otherwise."""
    light = light_of(shot)
    return told(light.lamp.kind, light.lux, usual=True) if light and light.usual else ""


def tub_of(plan: Plan, flavour: Flavour) -> Tub:
    """Return the tub a flavour comes in: its own, else the plan's."""
    return flavour.tub or plan.tub


def freezers(plan: Plan) -> dict[int, list[Flavour]]:
    """Return the flavours in each freezer, by the freezer's number."""
    numbers = sorted({flavour.freezer for flavour in plan.flavours})
    return {number: [each for each in plan.flavours if each.freezer == number] for number in numbers}


def freezer_c(plan: Plan, flavour: Flavour) -> float:
    """Return the setting [°C] of the freezer a flavour is in.

    The plan's own setting; without one, the advised setting, midway between the coldest and the warmest
    advised where mixes share a freezer (own rule). What is drawn from a machine has the machine's, a freezer's reading
    apart (`forms`).
    """
    drawn = draws_at_c(flavour.form)
    if drawn is not None:
        return drawn
    return advised_c(plan, flavour) if plan.freezer_c is None else float(plan.freezer_c)


def advised_c(plan: Plan, flavour: Flavour) -> float:
    """Return the setting [°C] advised for the freezer a flavour is in, whatever the plan sets it to."""
    advised = [advised_freezer_c(mix_of(each)) for each in plan.flavours if each.freezer == flavour.freezer]
    return (min(advised) + max(advised)) / 2


def check(plan: Plan) -> None:
    """Raise PlanError, naming every one, when a mix, a light or a tub of the plan is not known."""
    problems: list[Problem] = []
    for number, flavour in enumerate(plan.flavours):
        _try(problems, ("flavours", number, "mix"), partial(mix_of, flavour))
        _try(problems, ("flavours", number, "form"), partial(build_of, plan, flavour))
        if flavour.tub is not None:
            where = f"flavour {flavour.name}, tub"
            _try(problems, ("flavours", number, "tub"), partial(size_of, flavour.tub, where))
    for number, shot in enumerate(plan.shots):
        _try(problems, ("shots", number, "light"), partial(light_of, shot))
        for field, check in standing_checks(shot):
            _try(problems, ("shots", number, field), check)
    _try(problems, ("tub",), partial(size_of, plan.tub))
    if problems:
        raise PlanError(problems[0].sentence, problems)


def _try(problems: list[Problem], place: tuple[str | int, ...], action: Callable[[], object]) -> None:
    try:
        action()
    except PlanError as error:
        problems.append(Problem(place, str(error)))
