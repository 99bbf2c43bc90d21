"""A small share of what the fuzzing script offers the session reader, and hypothesis beside it."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.faults.inputs import LINES, WHOLE, an_input, hold_what_must_hold, main


@pytest.mark.fault("a few thousand hostile files")
def test_a_few_thousand_files():
    seen = main(2_000, seed=12)
    assert sum(seen.values()) == 2_000
    assert min(seen["refused"], seen["damaged"], seen["torn"]) > 20


@given(st.binary(max_size=400))
@settings(max_examples=200, deadline=None)
def test_any_bytes(data):
    hold_what_must_hold(data)
    hold_what_must_hold(LINES[0] + data)


@given(st.text(max_size=400))
@settings(max_examples=200, deadline=None)
def test_any_words(text):
    hold_what_must_hold(LINES[0] + text.encode("utf-8", "surrogatepass"))


def test_the_same_seed_offers_the_same_files():
    assert an_input(random.Random(5)) == an_input(random.Random(5))


@pytest.mark.parametrize("broken", ["raise", "order"])
def test_a_reader_with_a_fault_would_be_caught(monkeypatch, broken, tmp_path):
    from tests.faults import inputs

    def faulty(path, data):
        if broken == "raise":
            raise KeyError("n")
        held = real(path, data)
        return type(held)(held.path, held.header, held.entries[::-1], held.bad_lines, held.condition, held.good_bytes)

    real = inputs.parse
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(inputs, "parse", faulty)
    with pytest.raises((KeyError, AssertionError)):
        hold_what_must_hold(WHOLE)
    with pytest.raises((KeyError, AssertionError)):
        main(50)
    assert list(tmp_path.glob("fuzz-0-*.setlog"))
