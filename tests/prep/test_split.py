"""The split of flavours over freezers, against every split there is."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from studiotimer.mixes import mixes
from studiotimer.prep.plan import Plan, parse_plan
from studiotimer.prep.printed import printed_sheet
from studiotimer.prep.results import results_of
from studiotimer.prep.split import best_split, cost_of, split_of
from tests.prep.plans import CALM, THREE_FLAVOURS


def plan_of(*kept: tuple[str, int]) -> Plan:
    flavours: list[dict[str, Any]] = [
        {"name": f"{mix} {n}", "mix": mix, "freezer": number} for n, (mix, number) in enumerate(kept)
    ]
    shots = [{"name": "One", "heroes": [{"flavour": flavours[0]["name"]}]}]
    return parse_plan({"flavours": flavours, "shots": shots, "date": "2031-03-02"})


@settings(max_examples=40, deadline=None)
@given(st.lists(st.sampled_from(sorted(mixes())), min_size=1, max_size=6), st.integers(1, 3))
def test_no_split_at_all_costs_less(names: list[str], count: int) -> None:
    flavours = plan_of(*((name, 1) for name in names)).flavours
    found = best_split(flavours, count)
    assert sorted(each.name for group in found.groups for each in group) == sorted(each.name for each in flavours)
    assert len(found.groups) <= count
    for numbers in product(range(count), repeat=len(flavours)):
        groups = [
            [flavour for flavour, number in zip(flavours, numbers, strict=True) if number == each]
            for each in range(count)
        ]
        assert found.cost <= sum(cost_of(group) for group in groups if group) + 1e-9


def test_flavours_in_the_wrong_freezers_are_proposed_the_right_ones() -> None:
    """Two sorbets and two regulars, crossed over two freezers: the same two freezers cost nothing."""
    found = split_of(plan_of(("regular", 1), ("sorbet", 1), ("regular", 2), ("sorbet", 2)))
    assert found is not None
    assert found.text.startswith("over 2 freezers: regular 0 and regular 2 at −")
    assert "sorbet 1 and sorbet 3 at −" in found.text
    assert found.value == pytest.approx(0.0, abs=1e-9)


def test_one_freezer_more_is_proposed_where_the_ones_there_are_cannot_do() -> None:
    found = split_of(plan_of(("regular", 1), ("sorbet", 1)))
    assert found is not None
    assert found.text.startswith("over a freezer more, so 2 freezers: ")
    assert split_of(plan_of(("regular", 1), ("sorbet", 2))) is None
    assert split_of(parse_plan(CALM)) is None
    assert split_of(plan_of(("regular", 1), ("sorbet", 1)).model_copy(update={"freezer_c": -18.0})) is None


def test_the_split_is_on_the_sheet_and_in_the_results() -> None:
    apart = THREE_FLAVOURS | {
        "flavours": [
            {"name": "Pistachio", "mix": "regular"}, {"name": "Hazelnut", "mix": "regular", "freezer": 2},
            {"name": "Lemon", "mix": "sorbet"},
        ]
    }  # fmt: skip
    results = results_of(parse_plan(apart))
    assert results.split is not None
    said = f"Costs least {results.split.text}."
    from datetime import UTC, datetime

    assert said in printed_sheet(results, datetime(2031, 1, 1, tzinfo=UTC)).notes
    assert results.as_json()["better_split"]["text"] == results.split.text
