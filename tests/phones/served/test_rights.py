"""Which phone may make which call: a table of every kind, and who is refused is told why."""

import pytest

from studiotimer.session.calls.registry import CALLS, RECORDS, field_names
from studiotimer.session.calls.rights import MAY, RIGHTS, why_not

ASSISTANTS = {
    "pull", "judge", "move", "brought", "tub_out", "tub_back", "tub_finished", "top_up", "hold", "resume", "poured",
    "take_back",
}  # fmt: skip
GIVEN = {
    "pull": {"flavour": "hazelnut", "to": "box"},
    "judge": {"scoop": 3, "as": "spare"},
    "move": {"scoop": 3, "to": "tray"},
    "brought": {"scoop": 3},
    "tub_out": {"flavour": "hazelnut"},
    "tub_back": {"flavour": "hazelnut", "freezer": "chest"},
    "tub_finished": {"flavour": "hazelnut"},
    "take_back": {"entry": 4},
}


def test_every_kind_of_entry_has_its_row_and_fields_that_it_has():
    assert set(MAY) == set(RECORDS)
    for kind, may in MAY.items():
        assert (may.right is None) == (kind not in CALLS or kind in ("frame", "clip")), kind
        own = set(field_names(kind))
        assert {*may.needs, *(may.fields or ()), *(may.only or {})} <= own, kind
        assert may.right is None or RECORDS[kind].by == "anyone"


@pytest.mark.parametrize("kind", MAY)
def test_each_right_may_what_the_table_says_and_no_more(kind):
    fields = GIVEN.get(kind, {})
    assert why_not("watch", kind, fields) is not None
    assert (why_not("assistant", kind, fields) is None) == (kind in ASSISTANTS)
    assert (why_not("everything", kind, fields) is None) == (MAY[kind].right is not None)


@pytest.mark.parametrize(
    ("kind", "fields", "said"),
    [
        ("pull", {"flavour": "hazelnut"}, "pull: to must be told"),
        ("pull", GIVEN["pull"] | {"scoop": 99}, "pull: “scoop” is not given on a phone"),
        ("move", GIVEN["move"] | {"assumed_pull_s": 5}, "is not given on a phone"),
        ("judge", {"scoop": 3, "as": "hero"}, "judge: as can be spare or reject on this phone"),
        ("judge", {"scoop": 3, "as": ["spare"]}, "judge: as can be spare or reject"),
        ("pull", GIVEN["pull"] | {"n": 1}, "is not given on a phone"),
        ("hero_in", {}, "this phone may not call hero_in; the laptop gives that right"),
        ("closed", {}, "“closed” is not called on a phone"),
        ("<script>", {}, "“<script>” is not called on a phone"),
        ("x" * 500, {}, "is not called on a phone"),
    ],
)
def test_who_is_refused_is_told_why_in_a_short_sentence(kind, fields, said):
    why = why_not("assistant", kind, fields)
    assert said in why
    assert len(why) < 120


def test_rights_stand_in_order():
    assert RIGHTS == ("watch", "assistant", "everything")
