"""Prints the time of a session's forecasts of 60 scoops with feet, after a call: python -m tests.speed.forecast.

Without dry ice, and with some at the set, which drifts, and by which scoops at a quick pace have slumped already.
"""

from __future__ import annotations

import argparse
import cProfile
import pstats
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from studiotimer.prep.plan import Plan, parse_plan
from studiotimer.session.forecast import Forecaster
from studiotimer.session.live import Session, new_session
from tests.session.clocks import HandClock

SCOOPS, WANTED_S, ROUNDS = 60, 0.050, 15
LINES = 60
"""So many of the functions that take longest are printed of a profile."""
FLAVOURS = [
    {"name": "vanilla", "mix": "superpremium"}, {"name": "cherry", "mix": "premium"}, {"name": "lime", "mix": "regular"},
]  # fmt: skip


def plan() -> Plan:
    """Return a plan of one shot on slate, its foot in the frame."""
    heroes = [{"flavour": FLAVOURS[i % 3]["name"], "spot": f"spot {i}"} for i in range(40)]
    shot = {"name": "a", "heroes": heroes, "stands_on": "slate", "foot_in_frame": True}
    return parse_plan({"date": "2031-06-14", "flavours": FLAVOURS, "shots": [shot]})


def begun(folder: Path, on_set: int, iced: bool = False) -> tuple[Session, HandClock]:
    """Return a session with 60 scoops pulled in half an hour, `on_set` of them placed one after another.

    If `iced`, dry ice was charged then, 25 min ago.
    """
    clock = HandClock()
    session = new_session(folder / f"{on_set}{' iced' if iced else ''}.setlog", plan(), clock)
    session.call("shot")
    for number in range(1, SCOOPS + 1):
        clock.advance(30.0)
        session.call("pull", {"scoop": number, "flavour": FLAVOURS[number % 3]["name"], "to": "box"})
    for number in range(1, on_set + 1):
        clock.advance(4.0)
        session.call("hero_in", {"scoops": [number]})
    assert len(session.state.heroes()) == on_set
    if iced:
        session.call("top_up", {"where": "set", "mass_kg": 2.0})
        clock.advance(1500.0)
    return session, clock


def timed(run: Callable[[], object], between: Callable[[], object]) -> tuple[float, float]:
    """Return the least wall and process seconds of several runs, each after `between`."""
    wall, own = [], []
    for _ in range(ROUNDS):
        between()
        began, began_own = time.perf_counter(), time.process_time()
        run()
        wall.append(time.perf_counter() - began)
        own.append(time.process_time() - began_own)
    return min(wall), min(own)


def main() -> int:
    """Print a row a case; 1 when a forecast takes longer than is wanted."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--profile", action="store_true", help="print where the time goes after each deed")
    profile = parser.parse_args().profile
    slow = False
    print(f"{'on set':>7}{'waiting':>9}{'ice':>5}{'feet':>6}{'wall ms':>9}{'process ms':>12}   after")
    with tempfile.TemporaryDirectory() as folder:
        for on_set, iced in ((20, False), (60, False), (20, True), (60, True)):
            session, clock = begun(Path(folder), on_set, iced)
            forecaster = Forecaster(session.plan)

            def forecast(forecaster: Forecaster = forecaster, session: Session = session) -> None:
                forecaster.forecast(session.state, session.time())

            forecast()
            while forecaster.feet.wanted:
                forecaster.feet.work_out()
                forecast()
            for after, deed in _deeds(session, clock).items():
                wall, own = timed(forecast, deed)
                feet = sum(one.foot is not None for one in forecaster.forecast(session.state, session.time()).heroes)
                ice = "yes" if iced else "no"
                print(
                    f"{on_set:>7}{SCOOPS - on_set:>9}{ice:>5}{feet:>6}{1000 * wall:>9.1f}{1000 * own:>12.1f}   {after}"
                )
                slow |= own > WANTED_S
                if profile:
                    _profiled(forecast, deed)
            session.close()
    return int(slow)


def _profiled(run: Callable[[], object], between: Callable[[], object]) -> None:
    """Print where the time of several runs goes, each after `between`."""
    watch = cProfile.Profile()
    for _ in range(ROUNDS):
        between()
        watch.runcall(run)
    pstats.Stats(watch).strip_dirs().sort_stats("cumulative").print_stats(LINES)


def _deeds(session: Session, clock: HandClock) -> dict[str, Callable[[], object]]:
    """Return what happens before a forecast: a second passes, a look is seen, the room is read."""
    seen = iter(range(1, SCOOPS))

    def look() -> None:
        clock.advance(1.0)
        session.call("look", {"scoop": next(seen), "seen": "sheen"})

    def reading() -> None:
        clock.advance(1.0)
        session.call("reading", {"what": "room_c", "value": 22.1 + session.time() % 7 / 10})

    return {"a second": lambda: clock.advance(1.0), "a look seen": look, "the room read": reading}


if __name__ == "__main__":
    sys.exit(main())
