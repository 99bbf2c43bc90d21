"""News as the laptop sends it to phones, for tests of the page. The shoot in it is invented."""

from __future__ import annotations

from typing import Any

CAUTION = "Gloves and eye protection. Ventilate. Never seal it in. At the CO₂ monitor's alarm everyone leaves."
BUTTER = {"name": "brown butter", "short": "butter", "colour": "#E7B45C"}
HAZELNUT = {"name": "hazelnut", "short": "hazelnut", "colour": "#B7A197"}
ORANGE = {"name": "blood orange", "short": "orange", "colour": "#EF7A5C"}
LONG = {"name": "stracciatella with salted caramel and hazelnut brittle", "short": "straccia", "colour": "#5A2330"}
LONGEST = {"name": "Schwarzwälderkirschtortenparfait", "short": "Kirsch", "colour": "#C13B4A"}


def call(kind: str, title: str, detail: str = "", role: str = "plain", **fields: Any) -> dict[str, Any]:
    return {"kind": kind, "fields": fields, "title": title, "detail": detail, "role": role}


def pull(flavour: dict[str, str], to: str = "box", number: int = 14) -> dict[str, Any]:
    return call("pull", f"Pull {number} {flavour['name']}", f"to the {to}", "flavour", flavour=flavour["name"], to=to)


def tub(flavour: dict[str, str], left: int | None, low: bool = False) -> dict[str, Any]:
    name = flavour["name"]
    calls = [
        pull(flavour), pull(flavour, "tray"), call("tub_out", f"{name} tub is out", flavour=name),
        call("tub_finished", f"{name} tub is finished", "open the next one", "away", flavour=name),
    ]  # fmt: skip
    return {"flavour": flavour, "left": left, "low": low, "calls": calls}


def waiting(scoop: int, slot: str, flavour: dict[str, str], at: float, place: str = "box") -> dict[str, Any]:
    calls = [
        call("brought", f"{scoop} is at the set", "from the box", "strong", scoop=scoop),
        call("move", f"{scoop} to the tray", scoop=scoop, to="tray"),
        call("judge", f"{scoop} is a spare", scoop=scoop, **{"as": "spare"}),
        call("judge", f"{scoop} is rejected", role="away", scoop=scoop, **{"as": "reject"}),
    ]
    return {
        "scoop": scoop, "slot": slot, "flavour": flavour, "place": place, "since": at - 300.0,
        "opens": at + 60.0, "ends": at + 40.0 * scoop, "words": f"{place} {slot}", "calls": calls,
    }  # fmt: skip


def cue(name: str, verb: str, due: float | None, flavour: dict[str, str] | None, **more: Any) -> dict[str, Any]:
    told = {
        "id": name, "verb": verb, "due": due, "late_words": "", "scoop": None, "slot": None, "flavour": flavour, "from": "",
        "to": "", "words": verb, "call": None,
    }  # fmt: skip
    return told | more


def bringing(at: float, flavour: dict[str, str] = BUTTER, due: float = 40.4) -> dict[str, Any]:
    """Bring 8, due in 40 s."""
    return cue(
        "c1", "Bring", at + due, flavour, scoop=8, slot="B3", to="left spot", words=f"Bring 8 {flavour['name']}",
        call=call("brought", "8 is at the set", "box to left spot", "strong", scoop=8),
    ) | {"from": "box"}  # fmt: skip


def shoot(at: float, flavours: tuple[dict[str, str], ...] = (BUTTER, HAZELNUT, ORANGE)) -> dict[str, Any]:
    """The whole state in the middle of a shoot, at a moment of the laptop's steady clock."""
    one, two, three = flavours
    stages = [
        ("frosted", 0, 60, "#9CCBDC"), ("matte", 60, 150, "#CFE1DF"), ("sheen", 150, 330, "#F0D9A6"),
        ("edges gone", 330, 420, "#D98B3A"), ("dripping", 420, 600, "#C13B4A"), ("slumped", 600, None, "#6E2531"),
    ]  # fmt: skip
    begun = at - 95.0
    return {
        "steady": at, "title": "Three in a coupe", "shot": "Coupe, take 2", "rights": "assistant", "phone": "p1",
        "next_number": 14, "cue": bringing(at, one),
        "then": [cue("c2", "Pull", at + 130.4, two, words=f"pull 14 {two['name']}"), cue("c3", "Top up", at + 600.0, None, words="top up 0.5 kg of dry ice")],
        "line": [waiting(8, "B3", one, at), waiting(11, "B4", two, at), waiting(12, "A1", three, at, "tray")],
        "tubs": [tub(one, 5), tub(two, 7), tub(three, 2, low=True)],
        "calls": [
            call("top_up", "Dry ice topped up", "500 g at the box"), call("hold", "Hold", "work stops", "away"),
            call("poured", "Poured", "on 6"), call("take_back", "Take back", "13 pulled, blood orange", "away", entry=31),
        ],
        "hero": {
            "scoop": 6, "flavour": one, "starts": begun + 60.0, "ends": begun + 330.0, "early": begun + 290.0, "late": begun + 380.0, "ended": False,
            "words": "left, on set with 1",
            "stages": [
                {"name": name, "from": begun + start, "to": None if end is None else begun + end, "colour": colour}
                for name, start, end, colour in stages
            ],
        },
        "swap": {"due": at + 200.4, "words": f"8 {one['name']}"}, "frames": {"taken": 7, "wanted": 12, "last": "10:31:50"},
        "locks": {"light": True, "set": True, "camera": False},
        "freezers": [{"name": "freezer 1", "words": "−14.2 °C", "warm": False}, {"name": "freezer 2", "words": "−10.5 °C", "warm": True}],
        "caution": CAUTION, "holding": False, "sound": None,
    }  # fmt: skip
