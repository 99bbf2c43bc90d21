"""Pictures of each state of the Set page at five sizes, the longest words among them; part of `tests.pictures OUT`.

`python -m tests.set_pictures OUT` makes these alone.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

FIVE = {"1024x640": (1024, 640), "1280x800": (1280, 800), "1366x768": (1366, 768), "1440x900": (1440, 900),
        "1920x1080": (1920, 1080)}  # fmt: skip
LOCKS = tuple(("lock", {"which": which, "on": True}) for which in ("light", "set", "camera"))
LONG = ("brown butter with smoked sea salt", "brown sugar and burnt honey", "blood orange and Campari sorbet")


def plan_of(
    flavours=("brown butter", "hazelnut", "blood orange"), spots=("left", "top", "right"), takes=3, own=0, **more
):
    """Return a plan of one shot with a hero of each flavour; the last `own` of them have freezers of their own."""
    from studiotimer.prep.plan import parse_plan

    heroes = [{"flavour": name, "spot": spot} for name, spot in zip(flavours, spots, strict=True)]
    mixes = ("superpremium", "gelato", "sorbet")
    shot = {"name": "Coupe, three flavours", "look": "crisp", "light": "tungsten 6000 lx", "takes": takes,
            "dressing": "10 s", "heroes": heroes, "frames": 40}  # fmt: skip
    return parse_plan(
        {
            "flavours": [
                {"name": name, "mix": mixes[index % 3], "freezer": max(index - (len(flavours) - own) + 2, 1)}
                for index, name in enumerate(flavours)
            ],
            "freezer": "-14 °C" if own else None,
            "shots": [shot | more],
            "room": {"air_c": "24 °C", "humidity": "52 %"},
            "dry_ice": {"target_air_c": "12 °C"},
        }
    )


def pulls(plan, times=1):
    """Return a pull of each flavour of the plan's shot."""
    return [("pull", {"flavour": hero.flavour}) for _ in range(times) for hero in plan.shots[0].heroes]


ICED = ("top_up", {"mass_kg": 2.0, "form": "pellets", "where": "set"})


def states():
    """Return each state: its name, its plan, the calls that make it (a number: seconds that pass)."""
    three = plan_of()
    long = plan_of(LONG, ("front left of the coupe", "top", "behind, at the right"))
    one = plan_of(("brown butter",), ("centre",))
    six = plan_of(tuple(f"flavour {n} of six" for n in range(1, 7)), tuple(f"spot {n}" for n in range(1, 7)))
    ready = [("shot", {}), *LOCKS]
    two = plan_of(own=1, stands_on="slate")
    read = [("reading", {"what": "freezer_c", "value": celsius, "freezer": name}) for name, celsius in
            (("freezer 1", -14.2), ("freezer 2", -9.5))]  # fmt: skip
    cores = [("reading", {"what": "core_c", "value": celsius, "flavour": name}) for name, celsius in
             (("brown butter", -13.0), ("hazelnut", -17.5))]  # fmt: skip
    hero = [*ready, *pulls(three, 2), ("hero_in", {"scoops": [1, 2, 3]}), *pulls(three)]
    return {
        "empty": (three, [("shot", {}), ("reading", {"what": "freezer_c", "value": -10.5}), 240]),
        "warm": (two, [("shot", {}), *read, *cores, ("door", {"open": True, "freezer": "freezer 1"}), 75]),
        "begin": (three, []),
        "pull": (three, ready),
        "waiting": (three, [*ready, ICED, *pulls(three, 3), 90]),
        "dressing": (three, [*ready, ICED, *pulls(three, 2), 90, ("hero_in", {"scoops": [1, 2, 3]}), 4]),
        "hero": (three, [*hero, 30]),
        "due": (three, [*hero, 95]),
        "past": (three, [*hero, 200]),
        "one": (one, [*ready, *pulls(one, 3), ("hero_in", {}), 40]),
        "stand-in": (three, [("shot", {}), *pulls(three), ("stand_in", {"scoop": 1}), 60]),
        "long-hero": (long, [*ready, *pulls(long, 2), ("hero_in", {"scoops": [1, 2, 3]}), *pulls(long, 2), 25]),
        "long-waiting": (long, [*ready, ICED, *pulls(long, 3), 90]),
        "six-waiting": (six, [*ready, ICED, *pulls(six, 3), 90]),
        "six-hero": (six, [*ready, *pulls(six, 2), ("hero_in", {"scoops": [1, 2, 3, 4, 5, 6]}), 60]),
    }


def show(window, folder: Path, name: str):
    """Bring a window to a state, as new as its forecast; `wait` for that yourself."""
    from studiotimer.session.live import new_session
    from tests.session.clocks import HandClock

    plan, calls = states()[name]
    clock = HandClock()
    window._run(new_session(folder / f"{name}.setlog", plan, clock))
    for call in calls:
        if isinstance(call, int):
            clock.advance(call)
            continue
        clock.advance(2)
        outcome = window.running.call(*call)
        if outcome.refused:
            raise SystemExit(f"{name}, {call}: {outcome.refused}")
    window.running.forecast = None
    window.running.ask_forecast()


def set_states(studio, only=()) -> None:
    """Each state at five sizes, and the crew screen beside a hero, a cue that is due and none."""
    from studiotimer.window.main import MainWindow

    window = MainWindow()
    window.show()
    with tempfile.TemporaryDirectory() as folder:
        for name in states():
            if only and name not in only:
                continue
            show(window, Path(folder), name)
            studio.wait(lambda: window.running.forecast is not None)
            studio.settle(0.3)
            window.page.stand("")
            window.page.say("")
            studio.shoot(window, f"state-{name}", tuple(FIVE))
            if name in ("hero", "past", "waiting", "empty", "long-hero"):
                if window.crew is None:  # one that was open is opened again with the next session
                    window.show_crew()
                crew = window.crew
                crew.show()
                crew.resize(1920, 1080)
                crew.warn("")
                studio.settle(0.3)
                crew.grab().save(str(studio.out / f"crew-{name}-1920x1080.png"))
                window.show_crew()
            window.close_session()
    window.close()


def main(argv: list[str]) -> int:
    """Write the pictures into the folder named first in `argv`; of the states named after it, or of all."""
    from tests.pictures import SIZES, Studio, home, with_screen

    status = with_screen(argv, "tests.set_pictures")
    if status is not None:
        return status
    out = Path(argv[0])
    out.mkdir(parents=True, exist_ok=True)
    SIZES.update(FIVE)
    with tempfile.TemporaryDirectory() as folder, home(folder):
        set_states(Studio(out), argv[1:])
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
