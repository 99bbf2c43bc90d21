"""Makes the demo sessions by running the program on a clock that is moved by hand.

Run `python demo_sessions/make.py` after a change to the session file or the plans. The shoots are invented.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from fair import FAIR, FAIR_MORNING, FAIR_NOON, Step

from studiotimer.prep.plan import Plan, parse_plan, save_plan
from studiotimer.session import live
from studiotimer.session.clock import Anchor
from studiotimer.session.forecast import Forecaster
from studiotimer.session.live import Choice, Session

PLACE, LAKE = ZoneInfo("Europe/Paris"), ZoneInfo("America/Chicago")

CALM = {
    "title": "Vanilla on slate",
    "date": "2026-06-16",
    "call_time": "09:00",
    "timezone": "Europe/Paris",
    "room": {"air": "21 °C", "humidity": "42 %", "volume": "140 m3", "changes": "2/h"},
    "flavours": [{"name": "vanilla", "mix": "premium", "tone": "pale"}],
    "shots": [
        {"name": "Scoop on slate", "look": "crisp", "light": "LED 2000 lx", "takes": 3, "dressing": "10 s",
         "heroes": [{"flavour": "vanilla", "spot": "centre"}], "frames": 8, "between": "8 s", "spares": 1,
         "stands_on": "slate", "plate": "8 mm", "plate_is": "chilled", "plate_at": "4 °C", "base": "36 mm",
         "foot_in_frame": True},
        {"name": "Slate, first shine", "look": "sheen", "light": "LED 2000 lx", "takes": 1, "dressing": "0 s",
         "heroes": [{"flavour": "vanilla", "spot": "centre"}], "frames": 8, "between": "8 s", "spares": 1,
         "nothing_moves": True,
         "stands_on": "slate", "plate": "8 mm", "plate_is": "chilled", "plate_at": "4 °C", "base": "36 mm",
         "foot_in_frame": True},
    ],
    "tub": {"size": "gallon"},
    "pull": "30 s",
    "carry": "12 s",
    "pull_to_set": "60 s",
    "good_share": "1 in 2",
    "freezer": "-16 °C",
    "dry_ice": {"holding_box": True, "form": "slab", "box_grid": "3 x 2", "tray_grid": "3 x 1"},
}  # fmt: skip

_COUPE = [
    {"flavour": "brown butter", "spot": "left"}, {"flavour": "hazelnut", "spot": "top"},
    {"flavour": "blood orange", "spot": "right"},
]  # fmt: skip

HOT = {
    "title": "Three in a coupe",
    "date": "2026-06-18",
    "call_time": "08:30",
    "timezone": "Europe/Paris",
    "room": {"air": "24 °C", "humidity": "50 %", "volume": "220 m3", "changes": "3/h"},
    "flavours": [
        {"name": "brown butter", "mix": "superpremium", "tone": "mid"},
        {"name": "hazelnut", "mix": "gelato", "tone": "mid"},
        {"name": "blood orange", "mix": "sorbet", "tone": "mid"},
    ],
    "shots": [
        {"name": "Coupe, three flavours", "look": "crisp", "light": "tungsten 6000 lx", "takes": 3,
         "dressing": "15 s", "frames": 10, "between": "5 s", "spares": 3, "stand_ins": 3, "heroes": _COUPE,
         "stands_on": "glass", "plate": "3 mm", "base": "40 mm"},
        {"name": "Coupe, running", "look": "melt", "light": "tungsten 6000 lx", "takes": 1, "dressing": "0 s",
         "heroes": _COUPE, "frames": 20, "between": "5 s", "spares": 0, "nothing_moves": True,
         "stands_on": "glass", "plate": "3 mm", "base": "40 mm"},
    ],
    "tub": {"size": "5 L"},
    "pull": "35 s",
    "carry": "15 s",
    "pull_to_set": "75 s",
    "good_share": "2 in 3",
    "freezer": "-14 °C",
    "dry_ice": {"holding_box": True, "form": "pellets", "target_air": "12 °C", "co2_monitor": True,
                "box_grid": "4 x 3", "tray_grid": "3 x 1"},
}  # fmt: skip

CALM_DAY: list[Step] = [
    (5, "shot", {}),
    (20, "reading", {"what": "freezer_c", "value": -16.5}),
    (8, "reading", {"what": "room_c", "value": 21.5}),
    (6, "reading", {"what": "humidity", "value": 0.44}),
    (10, "top_up", {"mass_kg": 4.0, "form": "slab", "where": "box"}),
    (30, "tub_out", {}),
    (40, "pull", {"to": "tray"}),
    (6, "judge", {"as": "spare"}),
    (10, "tub_back", {}),
    (15, "stand_in", {"scoop": 1}),
    (80, "lock", {"which": "set", "on": True}),
    (70, "lock", {"which": "light", "on": True}),
    (60, "look", {"seen": "edges"}),
    (25, "lock", {"which": "camera", "on": True}),
    (12, "reading", {"what": "plate_c", "value": 5.0}),
    (20, "tub_out", {}),
    (30, "pull", {}), (12, "judge", {"as": "hero"}),
    (45, "pull", {}), (10, "judge", {"as": "reject"}),
    (40, "pull", {}), (11, "judge", {"as": "hero"}),
    (42, "pull", {}), (9, "judge", {"as": "spare"}),
    (12, "tub_back", {}),
    (50, "hero_in", {"scoops": [2]}),
    (72, "look", {"seen": "sheen"}),
    (45, "note", {"text": "good texture"}),
    (52, "out", {"why": "gone"}),
    (60, "move", {"scoop": 4, "to": "tray"}),
    (35, "hero_in", {"scoops": [4]}),
    (40, "note", {"text": "background moved"}),
    (3, "hold", {"why": "waiting for set"}),
    (55, "resume", {}),
    (30, "out", {"why": "gone"}),
    (20, "tub_out", {}),
    (35, "pull", {}), (9, "judge", {"as": "hero"}),
    (44, "pull", {}), (8, "judge", {"as": "hero"}),
    (14, "tub_back", {}),
    (70, "hero_in", {"scoops": [6]}),
    (20, "amend", {"change": {"ago": 15}}),
    (75, "look", {"seen": "sheen"}),
    (30, "got_it", {}),
    (8, "out", {"why": "got it"}),
    (90, "shot", {}),
    (60, "hero_in", {"scoops": [7]}),
    (95, "look", {"seen": "sheen"}),
    (75, "got_it", {}),
    (10, "note", {"text": "left to see how long the edge lasts"}),
    (70, "look", {"seen": "edges"}),
    (12, "out", {"why": "got it"}),
]  # fmt: skip

HOT_MORNING: list[Step] = [
    (5, "shot", {}),
    (10, "lamp", {"on": False}),
    (15, "reading", {"what": "room_c", "value": 24.5}),
    (8, "reading", {"what": "humidity", "value": 0.52}),
    (9, "reading", {"what": "co2_ppm", "value": 560}),
    (20, "top_up", {"mass_kg": 6.0, "form": "slab", "where": "box"}),
    (30, "tub_out", {"flavour": "brown butter"}),
    (30, "pull", {"flavour": "brown butter", "to": "tray"}),
    (25, "pull", {"flavour": "hazelnut", "to": "tray"}),
    (25, "pull", {"flavour": "blood orange", "to": "tray"}),
    (12, "tub_back", {}),
    (10, "lamp", {"on": True}),
    (5, "stand_in", {"scoop": 1, "on": True}),
    (3, "stand_in", {"scoop": 2, "on": True}),
    (3, "stand_in", {"scoop": 3, "on": True}),
    (70, "look", {"scoop": 3, "seen": "sheen"}),
    (140, "lock", {"which": "light", "on": True}),
    (60, "lock", {"which": "set", "on": True}),
    (20, "lamp", {"on": False}),
]

HOT_SHOOT: list[Step] = [
    (30, "lock", {"which": "camera", "on": True}),
    (20, "top_up", {"mass_kg": 1.0, "form": "pellets", "where": "set"}),
    (60, "reading", {"what": "air_c", "value": 14.0}),
    (10, "reading", {"what": "co2_ppm", "value": 910}),
    (20, "pull", {"flavour": "brown butter"}), (10, "judge", {"as": "hero"}),
    (30, "pull", {"flavour": "hazelnut"}), (10, "judge", {"as": "hero"}),
    (30, "pull", {"flavour": "blood orange"}), (9, "judge", {"as": "reject"}),
    (28, "pull", {"flavour": "blood orange"}), (9, "judge", {"as": "hero"}),
    (35, "pull", {"flavour": "brown butter"}), (8, "judge", {"as": "hero"}),
    (33, "pull", {"flavour": "blood orange"}), (9, "judge", {"as": "hero"}),
    (31, "pull", {"flavour": "hazelnut"}), (8, "judge", {"as": "spare"}),
    (40, "lamp", {"on": True}),
    (6, "hero_in", {}),
    (35, "note", {"text": "left one cracked"}),
    (12, "swap", {"out": 4}),
    (25, "look", {"seen": "sheen", "scoop": 5}),
    (40, "note", {"text": "good texture"}),
    (60, "out", {"scoops": [5, 7, 8], "why": "gone"}),
    (2, "lamp", {"on": False}),
    (30, "top_up", {}),
    (45, "pull", {"flavour": "brown butter"}), (9, "judge", {"as": "hero"}),
    (30, "pull", {"flavour": "hazelnut"}), (9, "judge", {"as": "hero"}),
    (30, "pull", {"flavour": "blood orange"}), (9, "judge", {"as": "hero"}),
    (25, "move", {"to": "tray"}),
    (20, "take_back", {}),
    (40, "lamp", {"on": True}),
    (5, "hero_in", {}),
    (50, "look", {"seen": "sheen"}),
    (60, "got_it", {}),
    (15, "shot", {}),
    (80, "look", {"seen": "edges"}),
    (40, "clip", {}),
    (60, "look", {"seen": "first drip"}),
    (45, "clip", {}),
    (40, "got_it", {}),
    (10, "out", {"why": "got it"}),
    (4, "lamp", {"on": False}),
    (30, "ice_cleared", {"where": "set"}),
    (60, "reading", {"what": "co2_ppm", "value": 1240}),
]  # fmt: skip


class ScriptClock:
    """A clock that stands still until it is moved."""

    def __init__(self, start: datetime, up_s: float = 3600.0) -> None:
        self._wall, self._tick, self._up_s = start, 0.0, up_s

    def anchor(self) -> Anchor:
        """Return where the run began since the machine was started, once that morning."""
        return Anchor("the set laptop's morning", self._up_s)

    def stands(self) -> bool:
        """Return that it runs."""
        return False

    def later(self, seconds: float) -> ScriptClock:
        """Return the clock of a run that begins `seconds` from now."""
        return ScriptClock(self._wall + timedelta(seconds=seconds), self._up_s + self._tick + seconds)

    def tick(self) -> float:
        """Return seconds since the run began."""
        return self._tick

    def now(self) -> datetime:
        """Return the wall clock's time."""
        return self._wall

    def move(self, seconds: float) -> None:
        """Let time pass."""
        self._tick += seconds
        self._wall += timedelta(seconds=seconds)


def play(session: Session, clock: ScriptClock, steps: Sequence[Step], slower: float) -> None:
    """Make every call at its time; a look is seen when the model shows it, made `slower` as many times as long.

    Nobody calls to the second: each wait is a little longer, each look seen a little early or late. A refused call
    stops the script.
    """
    forecaster = Forecaster(session.plan)
    for number, (wait, kind, fields) in enumerate(steps):
        uneven = number * 37 % 11
        eye = 1.0 + (uneven - 5) / 50
        clock.move(look_comes_in(session, fields, slower * eye) if kind == "look" else wait + uneven / 10)
        forecast = forecaster.forecast(session.state, session.time())
        ending = forecast.window.ended_by if forecast.window else None
        given = dict(fields)
        if kind == "amend":
            last = session.ledger.entries[-1]
            given = {"entry": last.n, "change": {"tick": last.tick - fields["change"]["ago"]}}
        outcome = session.call(kind, given, Choice(forecast.best, ending))
        if outcome.refused is not None:
            raise SystemExit(f"step {number}, {kind}: {outcome.refused}")


def look_comes_in(session: Session, fields: dict[str, Any], slower: float) -> float:
    """Return the seconds until a look shows on the named scoop, or the first on set, by the model's own times."""
    state = session.state
    unseen = state.but(scoops={number: replace(scoop, seen=()) for number, scoop in state.scoops.items()})
    on_set = Forecaster(session.plan).forecast(unseen, session.time()).heroes
    scoop = next(one for one in on_set if fields.get("scoop") in (None, one.scoop))
    due = scoop.changes.of(fields["seen"]).likely
    return max(scoop.since + (due - scoop.since) * slower - session.time(), 2.0)


def make(folder: Path, values: dict[str, Any], runs: Sequence[Sequence[Step]], start: datetime, slower: float) -> None:
    """Write a plan and the session of its shoot; each of `runs` is one time the file was open."""
    plan: Plan = parse_plan(values)
    folder.mkdir(parents=True, exist_ok=True)
    save_plan(plan, folder / "plan.json")
    path = folder / f"{folder.name}.setlog"
    path.unlink(missing_ok=True)
    clock = ScriptClock(start)
    for number, steps in enumerate(runs):
        session = live.open_session(path, clock) if number else live.new_session(path, plan, clock)
        play(session, clock, steps, slower)
        clock.move(20)
        session.close()
        clock = clock.later(100)


def main(folder: Path) -> None:
    """Make every demo below `folder`."""
    live.machine_name = lambda: "set laptop"
    make(folder / "calm_led", CALM, [CALM_DAY], datetime(2026, 6, 16, 9, 12, 4, tzinfo=PLACE), 1.06)
    make(folder / "hot_tungsten", HOT, [HOT_MORNING, HOT_SHOOT], datetime(2026, 6, 18, 8, 41, 30, tzinfo=PLACE), 0.86)
    make(folder / "three_gallon", FAIR, [FAIR_MORNING, FAIR_NOON], datetime(2026, 6, 24, 9, 31, tzinfo=LAKE), 1.0)


if __name__ == "__main__":
    from make_frames import main as draw_frames

    where = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent
    main(where)
    draw_frames(where)
