"""Changes of a planned day that could give more days with every shot: each a day of its own, for the same luck."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from studiotimer import units
from studiotimer.prep.found import percent
from studiotimer.prep.looks import AIMS
from studiotimer.prep.plan import Plan, Shot
from studiotimer.prep.remedies import BOX_COLDER_K, BOX_COLDEST_C, LOCAL_AIR_C, LOCAL_AIR_COLDER_K, LOCAL_AIR_COLDEST_C
from studiotimer.prep.results import Results
from studiotimer.prep.scene import freezers
from studiotimer.prep.split import WORTH, best_split, cost_of
from studiotimer.prep.standing import CHILLED_C
from studiotimer.trial.figures import Setup, scenes_of

EARLIER_S = 1800.0  # own rule: half an hour, what a crew can begin earlier by
SHORTER = 0.5  # own rule: half the dressing, by a second pair of hands
MORE_ICE = 1.25  # own rule: a quarter more, the next size of order


def changes(results: Results, setup: Setup, short: Sequence[int], iceless: bool) -> Iterator[tuple[str, Setup]]:
    """Yield every change that is tried, in words, and the day with it.

    `short` are the flavours that ran out, by number; `iceless` says whether the dry ice ever did.
    How far each goes is an own rule: what a crew can do by the day of the shoot.
    """
    for number in short:
        flavour = setup.flavours[number]
        more = replace(flavour, tubs=flavour.tubs + 1)
        flavours = (*setup.flavours[:number], more, *setup.flavours[number + 1 :])
        yield f"one more tub of {flavour.name}", replace(setup, flavours=flavours)
    if iceless and setup.ice is not None:
        ice = replace(setup.ice, bought_kg=setup.ice.bought_kg * MORE_ICE)
        yield f"{percent(MORE_ICE - 1.0)} more dry ice", replace(setup, ice=ice)
    yield "a call time half an hour earlier", replace(setup, wrap_s=setup.wrap_s + EARLIER_S)
    if any(scene.dressing_s > 0.0 for scene in setup.shots):
        shots = tuple(replace(scene, dressing_s=scene.dressing_s * SHORTER) for scene in setup.shots)
        yield "dressing in half the time", replace(setup, shots=shots)
    for what, plan in _colder(results.plan, results.style):
        shots = scenes_of(plan, [scene.planned for scene in setup.shots])
        yield what, replace(setup, shots=shots)


def _colder(plan: Plan, style: units.Style) -> Iterator[tuple[str, Plan]]:
    ice = plan.dry_ice
    if ice.holding_box and ice.box_c > BOX_COLDEST_C:
        colder = max(ice.box_c - BOX_COLDER_K, BOX_COLDEST_C)
        yield f"a box at {units.temperature(colder, style)}", _iced(plan, box_c=colder)
    if ice.target_air_c is not None:
        air = max(ice.target_air_c - LOCAL_AIR_COLDER_K, LOCAL_AIR_COLDEST_C)
        if air < ice.target_air_c:
            yield f"air at the set at {units.temperature(air, style)}", _iced(plan, target_air_c=air)
    elif plan.room.air_c > LOCAL_AIR_C:
        yield f"dry ice on set, air at {units.temperature(LOCAL_AIR_C, style)}", _iced(plan, target_air_c=LOCAL_AIR_C)
    if (apart := _one_freezer_more(plan)) is not None:
        yield "one freezer more", apart
    shots = [_chilled(shot) for shot in plan.shots]
    if shots != plan.shots:
        yield f"plates at {units.temperature(CHILLED_C, style)}", plan.model_copy(update={"shots": shots})


def _chilled(shot: Shot) -> Shot:
    """Return the shot with its plate chilled, where its foot ends the look and the plate is warmer."""
    ends = shot.foot_in_frame and shot.stands_on is not None and shot.look not in AIMS
    cold = shot.plate_at_c is not None and shot.plate_at_c <= CHILLED_C
    if not ends or shot.plate_is == "with its hero" or (shot.plate_is == "chilled" and cold):
        return shot
    return shot.model_copy(update={"plate_is": "chilled", "plate_at_c": CHILLED_C})


def _iced(plan: Plan, **values: float) -> Plan:
    return plan.model_copy(update={"dry_ice": plan.dry_ice.model_copy(update=values)})


def _one_freezer_more(plan: Plan) -> Plan | None:
    """Return the plan with its flavours over one freezer more, split as costs least; None where none gains."""
    now = freezers(plan)
    if plan.freezer_c is not None or len(plan.flavours) == len(now):
        return None
    split = best_split(plan.flavours, len(now) + 1)
    if sum(cost_of(each) for each in now.values()) - split.cost < WORTH:
        return None
    number = {flavour.name: place for place, group in enumerate(split.groups, 1) for flavour in group}
    flavours = [flavour.model_copy(update={"freezer": number[flavour.name]}) for flavour in plan.flavours]
    return plan.model_copy(update={"flavours": flavours})
