"""A trail grows without changing the trails it grew from."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studiotimer.session.trail import Trail


@given(st.lists(st.tuples(st.integers(0, 10), st.integers())))
def test_branches_are_as_lists_would_be(steps):
    trails, lists = [Trail()], [[]]
    for which, item in steps:
        place = which % len(trails)
        trails.append(trails[place].then(item))
        lists.append([*lists[place], item])
    for trail, expected in zip(trails, lists, strict=True):
        assert list(trail) == expected
        assert len(trail) == len(expected)
        assert list(trail[1:3]) == expected[1:3]
        assert trail == tuple(expected)
        assert hash(trail) == hash(tuple(expected))


def test_places_from_either_end():
    short = Trail([1, 2])
    short.then(3)
    assert (short[0], short[-1]) == (1, 2)
    for place in (2, -3):
        with pytest.raises(IndexError):
            short[place]


def test_equal_by_what_it_holds():
    assert Trail([1]).then(2) == Trail([1, 2])
    assert Trail([1]) != Trail([2])
    assert Trail([1]) != (1, 2)
    assert Trail([1]) != [1]
    assert repr(Trail([1])) == "Trail([1])"
