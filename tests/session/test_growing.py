"""What grows does so without changing what it grew from."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studiotimer.session.growing import Growing


@given(st.lists(st.tuples(st.integers(0, 10), st.integers())))
def test_branches_are_as_lists_would_be(steps):
    grown_ones, lists = [Growing()], [[]]
    for which, item in steps:
        place = which % len(grown_ones)
        grown_ones.append(grown_ones[place].then(item))
        lists.append([*lists[place], item])
    for grown, expected in zip(grown_ones, lists, strict=True):
        assert list(grown) == expected
        assert len(grown) == len(expected)
        assert list(grown[1:3]) == expected[1:3]
        assert grown == tuple(expected)
        assert hash(grown) == hash(tuple(expected))


def test_places_from_either_end():
    short = Growing([1, 2])
    short.then(3)
    assert (short[0], short[-1]) == (1, 2)
    for place in (2, -3):
        with pytest.raises(IndexError):
            short[place]


def test_equal_by_what_it_holds():
    assert Growing([1]).then(2) == Growing([1, 2])
    assert Growing([1]) != Growing([2])
    assert Growing([1]) != (1, 2)
    assert Growing([1]) != [1]
    assert repr(Growing([1])) == "Growing([1])"
