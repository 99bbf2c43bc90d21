"""Hypothesis strategies for calls: the fields of every kind, possible ones and any."""

from hypothesis import strategies as st

from studiotimer.prep.looks import LOOKS
from studiotimer.session import entries as e
from studiotimer.session.measures import MEASURED, MEASURES

NUMBERS = st.integers(1, 8)
NAMES = st.sampled_from(["vanilla", "cherry", "coupe", "trio", "left", "=1+1", "<b>x</b>"])
FREEZERS = st.sampled_from(["freezer 1", "freezer 2", "chest"])
SPANS = st.one_of(st.none(), st.floats(0, 300))
WHERE = st.sampled_from(["set", "box"])


def _shot(draw):
    flavours = draw(st.lists(NAMES, max_size=3))
    spots = [f"spot {i}" for i, _ in enumerate(flavours)]
    return {
        "name": draw(NAMES),
        "look": draw(st.sampled_from(LOOKS)),
        "lamp": draw(st.sampled_from(["LED", "daylight", "tungsten"])),
        "lux": draw(st.floats(0, 200_000)),
        "flavours": flavours,
        "spots": spots,
    }


def _hero_in(draw):
    scoops = draw(st.lists(NUMBERS, min_size=1, max_size=3, unique=True))
    fields = {"scoops": scoops, "assumed_pull_s": draw(SPANS)}
    if draw(st.booleans()):
        fields["flavours"] = [draw(NAMES) for _ in scoops]
        fields["spots"] = [draw(NAMES) for _ in scoops]
    return fields


def _swap(draw):
    out, into = draw(st.lists(NUMBERS, min_size=2, max_size=2, unique=True))
    return {"out": out, "in": into, "spot": draw(st.none() | NAMES), "flavour": draw(st.none() | NAMES)}


def _stand_in(draw):
    which = draw(st.sampled_from(["scoop", "prop"]))
    return {which: draw(NUMBERS if which == "scoop" else NAMES), "on": draw(st.booleans())}


def _reading(draw):
    what = draw(st.sampled_from(MEASURED))
    fields = {"what": what, "value": draw(st.floats(MEASURES[what].low, MEASURES[what].high))}
    if what == "freezer_c":
        fields["freezer"] = draw(st.none() | FREEZERS)
    if what == "core_c":
        fields |= draw(st.fixed_dictionaries({"flavour": NAMES}) | st.fixed_dictionaries({"scoop": NUMBERS}))
    return fields


_WHOLE = {"shot": _shot, "hero_in": _hero_in, "swap": _swap, "stand_in": _stand_in, "reading": _reading}

_FIELDS = {
    "lock": {"which": st.sampled_from(e.LOCKS), "on": st.booleans()},
    "pull": {"scoop": NUMBERS, "flavour": NAMES, "to": st.sampled_from(["box", "tray"])},
    "judge": {"scoop": NUMBERS, "as": st.sampled_from(e.JUDGEMENTS)},
    "move": {"scoop": NUMBERS, "to": st.sampled_from(e.STORES), "assumed_pull_s": SPANS},
    "brought": {"scoop": NUMBERS, "assumed_pull_s": SPANS},
    "out": {"scoops": st.lists(NUMBERS, min_size=1, max_size=3), "why": st.sampled_from(e.WHYS)},
    "look": {"scoop": NUMBERS, "seen": st.sampled_from(e.SEEN), "assumed_pull_s": SPANS},
    "poured": {
        "scoops": st.lists(NUMBERS, min_size=1, max_size=3),
        "what": NAMES,
        "temperature_c": st.none() | st.floats(-20, 110),
        "runs_s": st.floats(0, 300),
    },
    "frost_wiped": {"scoops": st.lists(NUMBERS, min_size=1, max_size=3), "assumed_pull_s": SPANS},
    "dew_wiped": {"scoops": st.lists(NUMBERS, min_size=1, max_size=3), "assumed_pull_s": SPANS},
    "got_it": {"shot": NAMES},
    "hold": {"why": st.none() | NAMES},
    "resume": {"why": st.none() | NAMES},
    "top_up": {"mass_kg": st.floats(0.01, 50), "form": st.sampled_from(e.FORMS), "where": WHERE},
    "ice_cleared": {"where": WHERE},
    "lamp": {"on": st.booleans()},
    "tub_out": {"flavour": NAMES},
    "tub_back": {"flavour": NAMES, "freezer": st.none() | FREEZERS},
    "tub_finished": {"flavour": NAMES},
    "delivery": {
        "core_c": st.floats(-80, 60),
        "cartons": st.none() | st.integers(0, 1000),
        "damage": st.none() | NAMES,
    },
    "door": {"open": st.booleans(), "freezer": st.none() | FREEZERS},
    "frame": {"name": NAMES, "shot": st.none() | NAMES},
    "clip": {"name": NAMES, "on": st.booleans()},
    "note": {"text": st.text(min_size=1, max_size=30).filter(lambda text: text.isprintable() and text.strip())},
}

ACTIONS = (*_WHOLE, *_FIELDS)
"""Every kind but amend, take back and those the program makes itself."""


@st.composite
def fields_of(draw, kind):
    """Fields of a call of `kind` that are possible in themselves."""
    if kind in _WHOLE:
        return _WHOLE[kind](draw)
    return {name: draw(strategy) for name, strategy in _FIELDS[kind].items()}


@st.composite
def calls(draw):
    """A kind and its fields."""
    kind = draw(st.sampled_from(ACTIONS))
    return kind, draw(fields_of(kind))


JUNK = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)
"""Anything a program could send in place of a field."""
