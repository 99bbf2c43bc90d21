"""What defaults are made from, and what they ask of it: the plan, the line, the spots, the calls so far."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from studiotimer.errors import CallError
from studiotimer.prep.plan import Plan, Shot
from studiotimer.session.entries import Entry, Store
from studiotimer.session.log import Log
from studiotimer.session.measures import MEASURES, Measured
from studiotimer.session.state import Change, State
from studiotimer.units import UnitError

Fields = dict[str, object]
"""The fields of a call under the names the file has; what they may be is checked when its entry is made."""


class NoDefaultError(CallError):
    """Nothing sensible can be filled in; the message says what to give."""


@dataclass(frozen=True)
class Desk:
    """What defaults are made from. `best` lists the waiting scoops, best first; `ending` ends the window."""

    ledger: Log
    plan: Plan
    at: float
    best: Sequence[int] = ()
    ending: int | None = None
    selected: int | None = None
    given: Mapping[str, object] = field(default_factory=dict)

    @property
    def state(self) -> State:
        """The state as it is."""
        return self.ledger.state

    @property
    def has_box(self) -> bool:
        """Whether this shoot has a holding box."""
        return self.plan.dry_ice.holding_box

    @property
    def cold_store(self) -> Store:
        """Where scoops wait cold on this shoot."""
        return "box" if self.has_box else "freezer"


def shot_fields(shot: Shot) -> Fields:
    """Return the fields of the shot call that begins a plan's shot; raises NoDefaultError for no light."""
    from studiotimer.lamps import parse_light  # brings the physics, which the window opens without

    try:
        light = parse_light(shot.light)
    except UnitError as error:
        raise NoDefaultError(f"shot {shot.name}, {error}") from None
    lamp, lux = ("LED", 0.0) if light is None else (light.lamp.kind, light.lux)
    return {
        "name": shot.name,
        "look": shot.look,
        "lamp": lamp,
        "lux": lux,
        "flavours": [hero.flavour for hero in shot.heroes],
        "spots": spot_names(shot),
        "takes": shot.takes,
        "spares": shot.spares,
        "dressing_s": shot.dressing_s,
        "keeps_locks": shot.nothing_moves,
        "stands_on": shot.stands_on,
        "plate_m": None if shot.plate_m is None else float(shot.plate_m),
        "plate_is": shot.plate_is,
        "plate_c": None if shot.plate_at_c is None else float(shot.plate_at_c),
        "base_m": None if shot.base_m is None else float(shot.base_m),
        "stacked": shot.stacked,
        "foot_in_frame": shot.foot_in_frame,
    }


def is_pack(plan: Plan, flavour: str) -> bool:
    """Whether what is pulled of a flavour is a closed pack; not where the plan has no such flavour or form."""
    from studiotimer.forms import closed  # brings the physics, which the window opens without

    known = next((one for one in plan.flavours if one.name == flavour), None)
    try:
        return known is not None and closed(known.form)
    except UnitError:
        return False


def spot_names(shot: Shot) -> list[str]:
    """Return a name for each spot of a shot: as planned, else its flavour, numbered where needed."""
    wanted = [hero.spot or hero.flavour for hero in shot.heroes]
    counts = Counter(wanted)
    seen: Counter[str] = Counter()
    names = []
    for name in wanted:
        seen[name] += 1
        names.append(f"{name} {seen[name]}" if counts[name] > 1 else name)
    return names


def free_spots(state: State) -> list[tuple[str, str]]:
    """Return (flavour, spot) of the current shot's spots without a hero."""
    if state.shot is None:
        return []
    taken = {hero.spot for hero in state.heroes()}
    pairs = zip(state.shot.flavours, state.shot.spots, strict=True)
    return [(flavour, spot) for flavour, spot in pairs if spot not in taken]


def next_flavour(desk: Desk) -> str:
    """Return the flavour to pull next: of the shot's, the one with the fewest scoops waiting for its spots."""
    shot = desk.state.shot
    if shot is None or not shot.flavours:
        return desk.plan.flavours[0].name
    waiting = Counter(scoop.flavour for scoop in desk.state.line())
    wanted = Counter(shot.flavours)
    return min(dict.fromkeys(shot.flavours), key=lambda flavour: waiting[flavour] / wanted[flavour])


def best_of(desk: Desk, flavour: str | None, leaving_out: Sequence[int] = ()) -> int | None:
    """Return the best waiting scoop of a flavour (of any, when None)."""
    waiting = {scoop.number: scoop for scoop in desk.state.line() if scoop.number not in leaving_out}
    ranked = [number for number in desk.best if number in waiting]
    ranked += [number for number in waiting if number not in ranked]
    return next((number for number in ranked if flavour in (None, waiting[number].flavour)), None)


def next_shot(desk: Desk) -> Shot:
    """Return the plan's shot after the current one that is not got (the first again after the last).

    With every shot got, the one after the current one.
    """
    shots = desk.plan.shots
    current = desk.state.shot.name if desk.state.shot else None
    place = next((number for number, shot in enumerate(shots, 1) if shot.name == current), 0)
    order = [*shots[place:], *shots[:place]]
    return next((shot for shot in order if shot.name not in desk.state.got), order[0])


def last_call(desk: Desk, amends: bool = False) -> Entry | None:
    """Return the last call that counts and can be mended; with `amends`, an amend of one can be that too."""
    ledger = desk.ledger
    counting = (entry for entry in reversed(ledger.entries) if entry.n not in ledger.undone)
    return next((entry for entry in counting if entry.mendable or (amends and entry.kind == "amend")), None)


def last_take_back(desk: Desk) -> Entry | None:
    """Return the last take back that counts."""
    ledger = desk.ledger
    return next(
        (entry for entry in reversed(ledger.entries) if entry.kind == "take_back" and entry.n not in ledger.undone),
        None,
    )


def read_last(state: State) -> Measured:
    """Return what was read last; the air at the set, where nothing was."""
    readings = state.readings
    return max(readings, key=lambda what: readings[what][-1].at, default="air_c")


def inside(plan: Plan, state: State, flavour: str) -> str:
    """Return the name of the freezer that the tub of a flavour is in: where it was put last, else the plan's."""
    puts = state.tubs_in.get(flavour)
    known = next((one for one in plan.flavours if one.name == flavour), plan.flavours[0])
    return puts[-1].freezer if puts else plan.freezer_name(known.freezer)


def usual_freezer(desk: Desk) -> str:
    """Return the freezer meant where none is named: the one read last, else the one of the flavour pulled next.

    Empty where there is only one, and that has no name of its own.
    """
    if not desk.plan.freezers and len(desk.plan.freezer_names) == 1:
        return ""
    names = list(desk.plan.freezer_names.values())
    read = {name: desk.state.read_of(name) for name in names}
    last = max((name for name in names if read[name]), key=lambda name: read[name][-1].at, default=None)
    return inside(desk.plan, desk.state, next_flavour(desk)) if last is None else last


def last_reading(desk: Desk, what: Measured, whose: Mapping[str, object] | None = None) -> float:
    """Return the value a reading starts at: the last one of that freezer, tub or scoop, else what the plan says."""
    known = change_of(desk.state, what, whose or {})
    return MEASURES[what].usual(desk.plan, desk.state.shot) if known is None else known.value


def change_of(state: State, what: Measured, whose: Mapping[str, object]) -> Change | None:
    """Return what was read last: of the freezer, the tub's flavour or the scoop that `whose` names, where it does."""
    found: Sequence[Change] = state.readings.get(what, ())
    if what == "freezer_c" and whose.get("freezer"):
        found = state.read_of(str(whose["freezer"]))
    elif what == "core_c" and whose.get("scoop") is not None:
        scoop = next((one for one in state.in_play if one.number == whose["scoop"]), None)
        found = [Change(*scoop.cores[-1])] if scoop is not None and scoop.cores else []
    elif what == "core_c" and whose.get("flavour") is not None:
        found = state.cores.get(str(whose["flavour"]), ())
    return found[-1] if found else None
