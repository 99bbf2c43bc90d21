"""Pictures of every cue, and of the crew screen; part of `python -m tests.pictures OUT`."""

from __future__ import annotations

import tempfile
from pathlib import Path

CUED = (
    ("begin", ()),
    ("lock", ("shot",)),
    ("pull", ("shot", "locks")),
    ("hero-in", ("shot", "locks", "pulls")),
    ("swap", ("shot", "locks", "pulls", "pulls", "hero_in", 330)),
    ("out", ("shot", "locks", "pulls", "hero_in", "got_it")),
    ("fog", ("shot", "locks", "pulls", "top_up", 15)),
    ("top-up", ("shot", "locks", "pulls", "pulls", "pulls", "hero_in", "out", "top_up", "ice_cleared", 60)),
    ("tub-back", ("shot", "locks", "pulls", "pulls", "pulls", "pulls", "tub_out", "lamp", "top_up", 400)),
    ("lamp-off", ("shot", 90)),
    ("to-the-box", ("shot", "locks", "tray", 120)),
    ("gone", ("shot", "locks", "tray", 900)),
    ("resume", ("shot", "locks", "pulls", "hold")),
    ("next-shot", ("shot", "locks", "pulls", "hero_in", "got_it", "out")),
)


def cue_pages(studio) -> None:
    """Every cue on the Set page, and the crew screen with a hero in its window."""
    from studiotimer.places import demo_sessions
    from studiotimer.prep.loading import load_plan
    from studiotimer.session.live import new_session
    from studiotimer.window.main import MainWindow
    from tests.session.clocks import HandClock

    plan = load_plan(demo_sessions() / "hot_tungsten" / "plan.json")
    window = MainWindow()
    window.show()
    with tempfile.TemporaryDirectory() as folder:
        for name, steps in CUED:
            clock = HandClock()
            window._run(new_session(Path(folder) / f"{name}.setlog", plan, clock))
            for step in steps:
                _take(window, clock, step)
            _fresh(studio, window)
            window.page.stand("")
            window.page.say("")
            studio.shoot(window, f"cue-{name}", ("1280x800",))
            if name == "swap":
                window.show_crew()
                window.crew.resize(1920, 1080)
                window.crew.warn("")
                studio.settle(0.5)
                window.crew.grab().save(str(studio.out / "crew-1920x1080.png"))
                window.crew.warn("keys are not heard")
                window.crew.grab().save(str(studio.out / "crew-not-heard-1920x1080.png"))
            window.close_session()
    window.close()


def _take(window, clock, step) -> None:
    if isinstance(step, int):
        clock.advance(step)
        return
    calls = {
        "locks": [("lock", {"which": which, "on": True}) for which in ("light", "set", "camera")],
        "pulls": [("pull", {"flavour": name}) for name in ("brown butter", "hazelnut", "blood orange")],
        "tray": [("pull", {"to": "tray"})],
        "tub_out": [("tub_out", {"flavour": "hazelnut"})],
        "lamp": [("lamp", {"on": False})],
        "top_up": [("top_up", {"mass_kg": 2.0, "form": "pellets", "where": "set"})],
    }.get(step, [(step, {})])
    for kind, given in calls:
        clock.advance(30)
        outcome = window.running.call(kind, given)
        if outcome.refused:
            raise SystemExit(f"{step}: {outcome.refused}")


def _fresh(studio, window) -> None:
    window.running.forecast = None
    window.running.ask_forecast()
    studio.wait(lambda: window.running.forecast is not None)
    studio.settle(0.6)
