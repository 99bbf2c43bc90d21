"""Invented shoots for tests: a plan, entries made in one line, and sessions on a clock moved by hand."""

from datetime import UTC, datetime, timedelta

from studiotimer.prep.plan import parse_plan
from studiotimer.session.calls.registry import made
from studiotimer.session.first_lines import FORMAT, VERSION, summed
from studiotimer.session.lines import stamp, to_line
from studiotimer.session.mending import Ledger

BEGAN = datetime(2026, 6, 14, 10, 0, tzinfo=UTC)

SHOT = {"name": "coupe", "look": "crisp", "lamp": "LED", "lux": 2000.0, "flavours": ["vanilla"], "spots": ["centre"]}
TRIO = SHOT | {"name": "trio", "flavours": ["vanilla", "cherry", "cherry"], "spots": ["left", "middle", "right"]}


def plan(**changes):
    values = {
        "title": "Test shoot",
        "date": "2026-06-14",
        "flavours": [{"name": "vanilla", "mix": "premium"}, {"name": "cherry", "mix": "sorbet"}],
        "shots": [
            {"name": "coupe", "look": "crisp", "light": "LED 2000 lx", "heroes": [{"flavour": "vanilla"}]},
            {
                "name": "trio",
                "look": "sheen",
                "light": "tungsten 20000 lx",
                "heroes": [
                    {"flavour": "vanilla", "spot": "left"},
                    {"flavour": "cherry", "spot": "middle"},
                    {"flavour": "cherry", "spot": "right"},
                ],
            },
        ],
    }
    return parse_plan(values | changes)


def entry(n, kind, tick=0.0, run=1, at=None, **fields):
    at = at or BEGAN + timedelta(seconds=tick)
    return made(kind, {"n": n, "run": run, "at": at, "tick": tick, **fields})


def story(*calls):
    """Return the entries of (tick, kind, fields) calls of one run, numbered from 1."""
    return [entry(n, kind, tick, **fields) for n, (tick, kind, fields) in enumerate(calls, 1)]


def told(*calls):
    """Return the ledger of (tick, kind, fields) calls of one run."""
    return Ledger.of(story(*calls))


def header_line(**changes):
    fields = {"format": FORMAT, "version": VERSION, "session": "s-1", "created": stamp(BEGAN), "plan": {}}
    return summed(fields | changes)


def file_bytes(entries, **header):
    return header_line(**header) + b"".join(to_line(one) for one in entries)


def small_shoot():
    """Return the entries of a small whole shoot, every kind of call in it."""
    return story(
        (0, "opened", {"version": "0", "machine": "laptop"}),
        (1, "shot", TRIO),
        (5, "tub_out", {"flavour": "cherry"}),
        (10, "pull", {"scoop": 1, "flavour": "vanilla", "to": "box"}),
        (20, "pull", {"scoop": 2, "flavour": "cherry", "to": "box"}),
        (30, "pull", {"scoop": 3, "flavour": "cherry", "to": "tray"}),
        (31, "tub_back", {"flavour": "cherry"}),
        (32, "judge", {"scoop": 3, "as": "hero"}),
        (33, "stand_in", {"prop": "ball", "on": True}),
        (40, "lock", {"which": "light", "on": True}),
        (41, "reading", {"what": "humidity", "value": 0.4}),
        (50, "move", {"scoop": 1, "to": "tray"}),
        (60, "hero_in", {"scoops": [1, 2, 3], "flavours": TRIO["flavours"], "spots": TRIO["spots"], "shot": "trio"}),
        (61, "top_up", {"mass_kg": 0.5, "form": "slab", "where": "set"}),
        (62, "frame", {"name": "IMG_1.CR3"}),
        (63, "lamp", {"on": False}),
        (70, "hold", {"why": "break"}),
        (75, "resume", {}),
        (80, "look", {"scoop": 1, "seen": "sheen"}),
        (90, "swap", {"out": 1, "in": 9, "spot": "left", "assumed_pull_s": 60}),
        (95, "note", {"text": "good texture"}),
        (100, "amend", {"entry": 20, "change": {"tick": 85.0}}),
        (101, "take_back", {"entry": 21}),
        (110, "got_it", {"shot": "trio"}),
        (111, "ice_cleared", {"where": "set"}),
        (120, "out", {"scoops": [2, 3, 9], "why": "got it"}),
        (130, "closed", {"version": "0", "machine": "laptop"}),
    )
