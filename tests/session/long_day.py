"""A long invented day: 300 scoops pulled, placed and taken out over twelve hours, most entries frames and readings."""

import random
from datetime import timedelta

from studiotimer.session.calls.registry import made
from tests.session.shoots import BEGAN, SHOT

HOURS_S = 12 * 3600.0
SCOOPS = 300


def long_day(count, began=BEGAN):
    """Return `count` entries. A few scoops wait at any time, one or two are on set, the last of them still is."""
    chance = random.Random(7)
    told = [(0.0, "opened", {"version": "0", "machine": "laptop"}), (1.0, "shot", SHOT)]
    told += [(2.0 + n, "lock", {"which": which, "on": True}) for n, which in enumerate(("light", "set", "camera"))]
    told += [(600.0 * n + 5, "top_up", {"mass_kg": 0.3, "form": "pellets", "where": "set"}) for n in range(72)]
    told += [(10_800.0 * n + 6, "top_up", {"mass_kg": 4.0, "form": "slab", "where": "box"}) for n in range(4)]
    apart = (HOURS_S - 900) / SCOOPS
    for number in range(1, SCOOPS + 1):
        pulled = 10 + number * apart
        on_set = pulled + 600
        told.append((pulled, "pull", {"scoop": number, "flavour": "vanilla", "to": "box"}))
        told.append((on_set, "hero_in", {"scoops": [number], "flavours": ["vanilla"], "spots": ["centre"],
                                         "shot": "coupe"}))  # fmt: skip
        if number % 2:
            told.append((on_set + 60, "look", {"scoop": number, "seen": "sheen"}))
        if number < SCOOPS:
            told.append((on_set + apart - 20, "out", {"scoops": [number], "why": "gone"}))
    told = [one for one in told if one[0] < HOURS_S]
    while len(told) < count - 2:
        at = chance.uniform(10, HOURS_S - 1)
        kind = chance.choices(["frame", "reading", "note"], [17, 2, 1])[0]
        fields = {
            "frame": {"name": f"IMG_{len(told):05d}.CR3", "shot": "coupe"},
            "reading": {"what": chance.choice(["air_c", "humidity", "lux"]), "value": chance.uniform(0.3, 0.6)},
            "note": {"text": "good texture"},
        }[kind]
        if kind == "reading" and fields["what"] == "air_c":
            fields["value"] = 21.0 + chance.random()
        elif kind == "reading" and fields["what"] == "lux":
            fields["value"] = 2000.0 + chance.uniform(-50, 50)
        told.append((at, kind, fields))
    told.sort(key=lambda one: one[0])
    told = told[:count]
    return [
        made(kind, {"n": n, "run": 1, "at": began + timedelta(seconds=at), "tick": round(at, 6), **fields})
        for n, (at, kind, fields) in enumerate(told, 1)
    ]
