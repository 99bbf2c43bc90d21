"""Our dataclasses are as the standard library's are, but for what refuses a change at run time."""

import copy
import dataclasses
import pickle

import pytest

from studiotimer import records
from studiotimer.thermal.charge import Charge


def kinds(dataclass):
    """Return the shapes of class that there are, made by one `dataclass` or the other."""

    @dataclass(frozen=True)
    class One:
        only: float = 0.0

    @dataclass(frozen=True, slots=True)
    class Several:
        number: int
        words: tuple[str, ...] = ()
        told: list[int] = dataclasses.field(default_factory=list, compare=False)

        def __hash__(self):
            return hash(self.number)

    @dataclass(frozen=True, eq=False, kw_only=True)
    class Itself:
        name: str = "a"

    @dataclass
    class Changing:
        count: int = 0

        def __repr__(self):
            return f"{self.count} counted"

    @dataclass(frozen=True)
    class Nothing:
        pass

    return One, Several, Itself, Changing, Nothing


SAMPLES = [
    (0, (), {}), (0, (1.5,), {}), (0, (float("inf"),), {}), (1, (1,), {}), (1, (1, ("x",), [2]), {}),
    (1, (1, ("x",), [3]), {}), (1, (2, ("x",)), {}), (2, (), {"name": "b"}), (3, (), {}), (3, (4,), {}), (4, (), {}),
]  # fmt: skip


def hashed(one):
    try:
        return hash(one)
    except TypeError as error:
        return str(error)


def test_they_print_compare_and_are_found_as_the_standard_librarys():
    ours, theirs = ([made[at](*given, **named) for at, given, named in SAMPLES]
                    for made in (kinds(records.dataclass), kinds(dataclasses.dataclass)))  # fmt: skip
    for one, other in zip(ours, theirs, strict=True):
        assert repr(one) == repr(other)
        assert dataclasses.asdict(one) == dataclasses.asdict(other)
        assert [one == each for each in ours] == [other == each for each in theirs]
        assert [one == each for each in (0, None, other)] == [False, False, False]
        if type(one).__name__ != "Itself":
            assert hashed(one) == hashed(other)


def test_they_can_be_copied_changed_and_told_apart_by_the_class_that_inherits_them():
    _, several, *_ = kinds(records.dataclass)
    one = several(1, ("x",))
    assert copy.copy(one) == copy.deepcopy(one) == dataclasses.replace(one) == one
    assert dataclasses.replace(one, number=2) != one
    assert not hasattr(one, "__dict__")

    class Inherits(several):
        pass

    assert Inherits(1, ("x",)) != one


def test_they_go_to_another_process():
    charge = Charge(2.0, "slab")
    assert pickle.loads(pickle.dumps(charge)) == charge


@pytest.mark.parametrize("word", ["init", "order", "unsafe_hash", "repr"])
def test_what_nobody_asks_for_is_refused(word):
    with pytest.raises(TypeError, match=word):
        records.dataclass(**{word: True})
