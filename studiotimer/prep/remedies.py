"""Single changes that could make a shot work, each tried on the plan itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from studiotimer import units
from studiotimer.prep.found import percent
from studiotimer.prep.looks import AIMS
from studiotimer.prep.plan import Plan, Shot
from studiotimer.prep.scene import light_of
from studiotimer.prep.standing import CHILLED_C, base_of
from studiotimer.prep.windows import Window, scoop_of, windows_of
from studiotimer.thermal.light import FLASH

LOCAL_AIR_C = 5.0  # own rule: a refrigerator's air
LOCAL_AIR_COLDER_K = 10.0  # own rule: a step that a few pellets more make
LOCAL_AIR_COLDEST_C = -30.0  # own rule: half of the way from a room to dry ice
BOX_COLDER_K, BOX_COLDEST_C = 15.0, -70.0
ROOM_COOLER_K, ROOM_COOLEST_C = 4.0, 14.0
DRIER, DRIEST = 0.15, 0.20
LEAST_TIME_S = 5.0  # own rule: a gain below it is lost in the hands' own time
LONGER_IN_BOX_S = 1200.0  # own rule: 20 min, in which an edge has come most of the way to the box


@dataclass(frozen=True)
class Remedy:
    """One change and the window it gives."""

    what: str
    window: Window

    def as_json(self) -> dict[str, object]:
        """Return the change as JSON values."""
        return {"what": self.what, "window": self.window.text, "frames": self.window.frames}


def remedies(plan: Plan, shot: Shot, style: units.Style = "metric") -> list[Remedy]:
    """Return every single change tried on a shot, the one that gives most frames first.

    Light, cold and timing are the crew's to change; the product is the client's and stays. How far each is
    changed is an own rule: what a studio can do by the day of the shoot.
    """
    changes = list(_changes(plan, shot, style))
    windows = windows_of([(*changed, True) for _, changed in changes])
    tried = [Remedy(what, window) for (what, _), window in zip(changes, windows, strict=True)]
    return sorted(tried, key=lambda remedy: (-remedy.window.frames, -remedy.window.working_s))


def best(tried: list[Remedy], now: Window) -> Remedy | None:
    """Return the change that helps most, None when none gives more working time than there is now."""
    first = tried[0] if tried else None
    return first if first and first.window.working_s > now.working_s else None


def _changes(plan: Plan, shot: Shot, style: units.Style) -> Iterator[tuple[str, tuple[Plan, Shot]]]:
    yield from _ice(plan, shot, style)
    light = light_of(shot)
    if light is not None and light.lux > 0.0 and light.lamp.kind not in ("LED", FLASH):
        changed = shot.model_copy(update={"light": f"LED {light.lux:.6g} lx"})
        yield f"LED for {light.lamp.kind}", (plan, changed)
    air, humidity = plan.room.air_c, plan.room.humidity
    if air > ROOM_COOLEST_C:
        cooler = max(air - ROOM_COOLER_K, ROOM_COOLEST_C)
        yield f"a room at {units.temperature(cooler, style)}", (_with(plan, "room", air_c=cooler), shot)
    if humidity > DRIEST:
        drier = max(humidity - DRIER, DRIEST)
        yield f"air at {percent(drier)} humidity", (_with(plan, "room", humidity=drier), shot)
    yield from _plate(plan, shot, style)
    yield from _timing(plan, shot)


def _plate(plan: Plan, shot: Shot, style: units.Style) -> Iterator[tuple[str, tuple[Plan, Shot]]]:
    """Yield a chilled plate where the foot ends the window and the plate is warmer."""
    if not shot.foot_in_frame or shot.stands_on is None or shot.look in AIMS:
        return
    heroes = [scoop_of(plan, shot, hero, plan.dry_ice.used) for hero in shot.heroes]
    warm = [base for one in heroes if (base := base_of(shot, one)) is not None and base.plate.at_c > CHILLED_C]
    unseen = shot.model_copy(update={"foot_in_frame": False})
    with_foot, without = windows_of([(plan, shot, True), (plan, unseen, True)])
    if warm and with_foot.end_s < without.end_s:
        chilled = shot.model_copy(update={"plate_is": "chilled", "plate_at_c": CHILLED_C})
        yield f"a plate chilled to {units.temperature(CHILLED_C, style)}", (plan, chilled)


def _timing(plan: Plan, shot: Shot) -> Iterator[tuple[str, tuple[Plan, Shot]]]:
    if shot.dressing_s >= 2 * LEAST_TIME_S:
        half = round(shot.dressing_s / 2)
        yield f"dressing in {units.duration(half)}", (plan, shot.model_copy(update={"dressing_s": float(half)}))
    if plan.carried_s >= 2 * LEAST_TIME_S:
        half = round(plan.carried_s / 2)
        yield f"a carry of {units.duration(half)}", (plan.model_copy(update={"carry_s": float(half)}), shot)
    if plan.dry_ice.holding_box and plan.dry_ice.box_wait_s < LONGER_IN_BOX_S:
        rested = units.told(LONGER_IN_BOX_S, units.MINUTES)
        yield f"{rested} in the box", (_with(plan, "dry_ice", box_wait_s=LONGER_IN_BOX_S), shot)


def _ice(plan: Plan, shot: Shot, style: units.Style) -> Iterator[tuple[str, tuple[Plan, Shot]]]:
    ice = plan.dry_ice
    if ice.target_air_c is None:
        target, what = LOCAL_AIR_C, "dry ice on set"
    else:
        target = max(ice.target_air_c - LOCAL_AIR_COLDER_K, LOCAL_AIR_COLDEST_C)
        what = "more dry ice on set"
    if target < (plan.room.air_c if ice.target_air_c is None else ice.target_air_c):
        text = f"{what}, air at {units.temperature(target, style)}"
        yield text, (_with(plan, "dry_ice", target_air_c=target), shot)
    if not ice.holding_box:
        yield "a dry-ice box", (_with(plan, "dry_ice", holding_box=True), shot)
    elif ice.box_c > BOX_COLDEST_C:
        colder = max(ice.box_c - BOX_COLDER_K, BOX_COLDEST_C)
        yield f"a box at {units.temperature(colder, style)}", (_with(plan, "dry_ice", box_c=colder), shot)


def _with(plan: Plan, part: str, **values: float | bool) -> Plan:
    """Return the plan with these values of one of its parts."""
    return plan.model_copy(update={part: getattr(plan, part).model_copy(update=values)})
