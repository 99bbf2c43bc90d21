"""Changes of a planned day that could give more days with every shot: each a day of its own, for the same luck."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from studiotimer import units
from studiotimer.prep.found import percent
from studiotimer.prep.plan import Plan
from studiotimer.prep.remedies import BOX_COLDER_K, BOX_COLDEST_C, LOCAL_AIR_C, LOCAL_AIR_COLDER_K, LOCAL_AIR_COLDEST_C
from studiotimer.prep.results import Results
from studiotimer.prep.scene import freezer_c, freezers, mix_of
from studiotimer.thermal.firmness import advised_freezer_c
from studiotimer.trial.figures import Setup, scenes_of

EARLIER_S = 1800.0
SHORTER = 0.5
MORE_ICE = 1.25
LEAST_APART_K = 0.5


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
    yield "a call half an hour earlier", replace(setup, wrap_s=setup.wrap_s + EARLIER_S)
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
            yield f"air on set at {units.temperature(air, style)}", _iced(plan, target_air_c=air)
    elif plan.room.air_c > LOCAL_AIR_C:
        yield f"dry ice on set, air at {units.temperature(LOCAL_AIR_C, style)}", _iced(plan, target_air_c=LOCAL_AIR_C)
    if (apart := _one_freezer_more(plan)) is not None:
        yield "one freezer more", apart


def _iced(plan: Plan, **values: float) -> Plan:
    return plan.model_copy(update={"dry_ice": plan.dry_ice.model_copy(update=values)})


def _one_freezer_more(plan: Plan) -> Plan | None:
    """Return the plan with the warmer mixes of its most mixed freezer in one of their own; None where none gains."""
    if plan.freezer_c is not None:
        return None
    advised = {flavour.name: advised_freezer_c(mix_of(flavour)) for flavour in plan.flavours}
    shared = [
        (max(advised[one.name] for one in each) - min(advised[one.name] for one in each), each)
        for each in freezers(plan).values()
    ]
    apart, mixed = max(shared, key=lambda one: one[0])
    if apart < LEAST_APART_K:
        return None
    new = max(flavour.freezer for flavour in plan.flavours) + 1
    warm = {one.name for one in mixed if advised[one.name] > freezer_c(plan, one)}
    flavours = [one.model_copy(update={"freezer": new}) if one.name in warm else one for one in plan.flavours]
    return plan.model_copy(update={"flavours": flavours})
