"""Each kind of call is one record, whole, and one row of the window's table."""

import importlib
import pkgutil
from dataclasses import MISSING, fields, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from studiotimer.places import resource
from studiotimer.session import calls as package
from studiotimer.session.calls.record import By, Call, Options, Several
from studiotimer.session.calls.registry import CALLS, KINDS, RECORDS, amend_fields, field_names, fold, made
from studiotimer.session.choices import choices
from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk
from studiotimer.session.entries import Entry
from studiotimer.session.measures import MEASURED, MEASURES
from studiotimer.session.wording import entry_words, short_words
from studiotimer.window.set.actions import CALL_ACTIONS, OPENS
from tests.session.given import ACTIONS, fields_of
from tests.session.shoots import BEGAN, TRIO, plan, told

HEAD = {"n": 99, "run": 1, "at": BEGAN, "tick": 500.0}
PARTS = [part.name for part in fields(Call) if part.default is MISSING]
BUSY = (
    (0, "shot", TRIO),
    (10, "pull", {"scoop": 1, "flavour": "vanilla", "to": "box"}),
    (20, "pull", {"scoop": 2, "flavour": "cherry", "to": "box"}),
    (50, "hero_in", {"scoops": [1], "flavours": ["vanilla"], "spots": ["left"], "shot": "trio"}),
)


def desk(**given):
    """Return what defaults are made from in the middle of a shoot."""
    return Desk(told(*BUSY), plan(), 500.0, given=given)


def written():
    """Return every record and every kind of entry that a module of the package has."""
    modules = [
        importlib.import_module(f"{package.__name__}.{one.name}") for one in pkgutil.iter_modules(package.__path__)
    ]
    values = [value for module in modules for value in vars(module).values()]
    return (
        {value.kind for value in values if isinstance(value, Call)},
        {value for value in values if isinstance(value, type) and issubclass(value, Entry) and value is not Entry},
    )


def test_kinds_match_and_each_record_is_complete():
    records, models = written()
    assert records | {"amend"} == set(RECORDS), "a record is not in the registry"
    assert models == set(KINDS.values()), "a kind of entry has no record"
    assert {kind for row in CALL_ACTIONS.values() for kind in row.icons} == set(CALLS), (
        "a call has no row in the window"
    )
    assert set(CALLS) == {*ACTIONS, "amend", "take_back"}, "a call has no fields in tests/session/given.py"
    for kind, record in RECORDS.items():
        assert kind == record.kind
        assert record.name
        assert record.by in By.__args__
        assert record.model.__doc__, f"{kind} does not say what it is"
        for part in ("rule", "default", "choices", "words", "short"):
            assert callable(getattr(record, part)), f"{kind} has no {part}"
    assert len({record.name for record in RECORDS.values()}) == len(RECORDS)


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("kind", RECORDS)
def test_a_record_without_one_of_its_parts_cannot_be_made(kind, part):
    parts = {name: getattr(RECORDS[kind], name) for name in PARTS if name != part}
    with pytest.raises(TypeError, match=part):
        Call(**parts)


def test_the_parts_are_all_that_a_record_has():
    assert PARTS == ["model", "name", "rule", "default", "choices", "words", "short", "by"]


@pytest.mark.parametrize("kind", ACTIONS)
@given(data=st.data())
@settings(max_examples=15, deadline=None)
def test_whatever_is_called_is_folded_and_has_its_words(kind, data):
    entry = made(kind, data.draw(fields_of(kind)) | HEAD)
    assert entry_words(entry)
    assert isinstance(RECORDS[kind].short(entry), str)
    after = fold(desk().state, entry, 500.0)
    assert after.last_time == 500.0 or after.contradictions[-1].why


@pytest.mark.parametrize("kind", ACTIONS)
def test_what_is_filled_in_and_offered_are_its_own_fields(kind):
    asked = desk(**{"text": "x"} if kind == "note" else {})
    if kind.endswith("_wiped"):
        asked = replace(asked, plan=plan(flavours=[{"name": "vanilla", "form": "pint"}, {"name": "cherry"}]))
    filling = filled(kind, asked)
    assert set(filling) <= set(field_names(kind))
    made(kind, filling | HEAD)
    assert isinstance(short_words(kind, filling), str)
    offered = choices(kind, asked)
    assert {field.field for field in offered} <= set(field_names(kind))
    for field in offered:
        if isinstance(field, Options) and field.value is not None and field.values:
            assert isinstance(field.value, type(field.values[0][0]))
        if isinstance(field, Several):
            assert isinstance(field.value, tuple)


def test_each_row_of_the_window_has_its_key_icon_and_place():
    places = [row.place for row in CALL_ACTIONS.values() if row.place is not None]
    assert len(places) == len(set(places)), "two calls have the same place on the bar"
    for action, row in CALL_ACTIONS.items():
        assert row.keys, f"{action} has no key"
        assert row.icons, f"{action} makes no call"
        if row.place is not None:
            for name in row.icons.values():
                assert resource("icons", f"{name}.svg").is_file()
    assert {"reading", "note", "amend", "delivery"} == OPENS


def test_every_reading_has_its_row():
    assert set(MEASURES) == set(MEASURED)
    for what, measure in MEASURES.items():
        assert measure.low <= measure.usual(plan(), None) <= measure.high, what
        assert measure.name
        assert measure.words(measure.low)
        assert 0 < measure.stepped() < measure.high - measure.low


def test_an_older_reading_is_amended_from_what_it_was():
    readings = [(5, "reading", {"what": "air_c", "value": 12.0}), (9, "reading", {"what": "air_c", "value": 3.0})]
    asked = Desk(told(*readings), plan(), 20.0)
    for number, value in ((1, 12.0), (2, 3.0)):
        assert {field.field: field.value for field in amend_fields(asked, number)}["value"] == value
