"""What shoots teach about a mix: kept, added up without counting twice, corrected, forgotten."""

import json
import math
from datetime import date

import pytest

from studiotimer.prep.plan import Plan, parse_plan
from studiotimer.session.learning import Learned, Observation, prior
from studiotimer.session.memory import (
    Known,
    Memory,
    load_memory,
    memory_file,
    memory_of,
    pace_words,
    values_of,
    with_memory,
)
from studiotimer.thermal import learn
from tests.kept import save_memory

TODAY, LATER = date(2026, 6, 14), date(2026, 6, 20)


def plan(*mixes, **learned):
    names = [f"flavour {number}" for number in range(len(mixes))]
    return parse_plan(
        {
            "flavours": [{"name": name, "mix": mix} for name, mix in zip(names, mixes, strict=True)],
            "shots": [{"name": "one", "heroes": [{"flavour": names[0]}]}],
            "learned": {mix: {"mean": mean, "sd": sd} for mix, (mean, sd) in learned.items()},
        }
    )


def seen(plan, *looks):
    """Return what a session begun from `plan` learns of looks, each a mix and a tau."""
    belief = prior(plan)
    for mix, tau in looks:
        belief = learn.observe(belief, mix, tau)
    return Learned(belief, tuple(Observation(1, mix, "sheen", float(n), tau) for n, (mix, tau) in enumerate(looks)))


def taught(memory, session, plan, *looks, today=TODAY):
    return memory.taught(session, plan, seen(plan, *looks), today)


def part(found, mix):
    return pytest.approx(found.mix_part(mix))


def test_a_session_that_begins_from_the_book_leaves_its_posterior():
    begun = plan("gelato")
    memory = taught(Memory(), "one", begun, ("gelato", -0.3), ("gelato", -0.2))
    known = memory.mixes["gelato"]
    assert (known.mean, known.sd) == part(seen(begun, ("gelato", -0.3), ("gelato", -0.2)), "gelato")
    assert (known.looks, known.when) == (2, "2026-06-14")
    assert known.mean < 0


def test_a_second_shoot_begins_where_the_first_ended_and_its_posterior_is_kept():
    memory = taught(Memory(), "one", plan("gelato"), ("gelato", -0.3))
    second = with_memory(plan("gelato"), memory)
    assert second.learned["gelato"].mean == memory.mixes["gelato"].mean
    after = taught(memory, "two", second, ("gelato", -0.1), today=LATER)
    known = after.mixes["gelato"]
    assert (known.mean, known.sd) == part(seen(second, ("gelato", -0.1)), "gelato")
    assert (known.looks, known.when) == (2, "2026-06-20")
    assert known.sd < memory.mixes["gelato"].sd < learn.MIX_SD


def test_only_mixes_with_looks_are_learned():
    memory = taught(Memory(), "one", plan("gelato", "sorbet"), ("gelato", 0.2))
    assert list(memory.held()) == ["gelato"]


def test_a_session_closed_twice_counts_once():
    begun = plan("gelato")
    once = taught(Memory(), "one", begun, ("gelato", -0.3))
    assert taught(once, "one", begun, ("gelato", -0.3), today=LATER) == once
    more = taught(once, "one", begun, ("gelato", -0.3), ("gelato", -0.25))
    whole = taught(Memory(), "one", begun, ("gelato", -0.3), ("gelato", -0.25))
    assert more.mixes["gelato"].mean == pytest.approx(whole.mixes["gelato"].mean)
    assert more.mixes["gelato"].sd == pytest.approx(whole.mixes["gelato"].sd)
    assert more.mixes["gelato"].looks == 2


def test_looks_taken_back_later_are_unlearned():
    begun = plan("gelato")
    memory = taught(taught(Memory(), "one", begun, ("gelato", -0.3)), "one", begun)
    known = memory.mixes["gelato"]
    assert (known.mean, known.sd) == (pytest.approx(0.0, abs=1e-12), pytest.approx(learn.MIX_SD))
    assert not known.held


def test_sessions_closed_in_any_order_come_to_the_same():
    begun = plan("gelato")
    one, two = ("one", begun, ("gelato", -0.3)), ("two", begun, ("gelato", 0.1))
    forth, back = taught(taught(Memory(), *one), *two), taught(taught(Memory(), *two), *one)
    assert forth.mixes["gelato"].mean == pytest.approx(back.mixes["gelato"].mean)
    assert forth.mixes["gelato"].sd == pytest.approx(back.mixes["gelato"].sd)
    both = learn.observe(prior(begun), "gelato", -0.3)
    assert forth.mixes["gelato"].mean != pytest.approx(both.mean[1])


def test_what_the_plan_sets_stays_and_what_it_does_not_is_filled_in():
    memory = Memory({"gelato": Known(-0.1, 0.1, 3), "sorbet": Known(0.2, 0.15, 2), "premium": Known(0.3, 0.1, 1)})
    filled = with_memory(plan("gelato", "sorbet", gelato=(0.05, 0.18)), memory)
    assert (filled.learned["gelato"].mean, filled.learned["gelato"].sd) == (0.05, 0.18)
    assert (filled.learned["sorbet"].mean, filled.learned["sorbet"].sd) == (0.2, 0.15)
    assert set(filled.learned) == {"gelato", "sorbet"}
    assert Plan.from_snapshot(filled.snapshot()).learned == filled.learned


def test_a_plan_of_which_nothing_is_known_is_left_as_it_is():
    one = plan("gelato")
    assert with_memory(one, Memory({"gelato": Known()})) is one


def test_a_correction_is_the_next_shoot_s_start_and_says_so():
    memory = taught(Memory(), "one", plan("gelato"), ("gelato", -0.3))
    changed = memory.corrected("gelato", 0.88, LATER)
    known = changed.mixes["gelato"]
    assert known.factor == pytest.approx(0.88)
    assert known.sd == memory.mixes["gelato"].sd
    assert known.said() == "lasts 12 % shorter than forecast, corrected by hand"
    assert with_memory(plan("gelato"), changed).learned["gelato"].mean == pytest.approx(math.log(0.88))
    second = with_memory(plan("gelato"), changed)
    after = taught(changed, "two", second, ("gelato", 0.0))
    assert "corrected by hand and 1 change seen since" in after.mixes["gelato"].said()


@pytest.mark.parametrize(("asked", "held"), [(0.01, 0.5), (50.0, 2.0)])
def test_a_correction_stays_in_reason(asked, held):
    assert Memory().corrected("gelato", asked, TODAY).mixes["gelato"].factor == pytest.approx(held)


def test_what_is_forgotten_does_not_come_back_with_its_session():
    begun = plan("gelato")
    memory = taught(Memory(), "one", begun, ("gelato", -0.3)).forgotten("gelato", LATER)
    assert memory.held() == {}
    assert with_memory(begun, memory) is begun
    assert taught(memory, "one", begun, ("gelato", -0.3)).held() == {}
    again = taught(memory, "two", begun, ("gelato", -0.2)).mixes["gelato"]
    assert (again.mean, again.sd) == part(seen(begun, ("gelato", -0.2)), "gelato")
    assert again.looks == 1


def test_all_is_forgotten():
    memory = taught(taught(Memory(), "a", plan("gelato"), ("gelato", 0.1)), "b", plan("sorbet"), ("sorbet", 0.1))
    assert len(memory.held()) == 2
    assert memory.all_forgotten(LATER).held() == {}
    assert memory.forgotten("unheard of", LATER) is memory


@pytest.mark.parametrize(
    ("factor", "words"),
    [
        (0.88, "lasts 12 % shorter than forecast"),
        (1.18, "lasts 18 % longer than forecast"),
        (1.004, "lasts as forecast"),
    ],
)
def test_a_pace_in_words(factor, words):
    assert pace_words(factor) == words


def test_the_file_is_kept_and_read():
    memory = taught(Memory(), "one", plan("gelato"), ("gelato", -0.3)).corrected("sorbet", 1.1, LATER)
    assert load_memory() == (Memory(), None)
    save_memory(memory)
    assert load_memory() == (memory, None)
    assert taught(load_memory()[0], "one", plan("gelato"), ("gelato", -0.3)) == memory


GOOD = {"mean": 0.1, "sd": 0.1, "looks": 2, "when": "2026-06-14", "sessions": {"a": [2, 20.0, 2.0]}}


@pytest.mark.parametrize(
    "values",
    [
        [],
        {"version": 1},
        {"version": 2, "mixes": {}},
        {"version": 1, "mixes": {"gelato": []}},
        {"version": 1, "mixes": {"gelato": GOOD | {"mean": 1e9}}},
        {"version": 1, "mixes": {"gelato": GOOD | {"mean": None}}},
        {"version": 1, "mixes": {"gelato": GOOD | {"sd": 0.0}}},
        {"version": 1, "mixes": {"gelato": GOOD | {"sd": float("nan")}}},
        {"version": 1, "mixes": {"gelato": GOOD | {"looks": -1}}},
        {"version": 1, "mixes": {"gelato": GOOD | {"looks": float("inf")}}},
        {"version": 1, "mixes": {"gelato": GOOD | {"when": "someday"}}},
        {"version": 1, "mixes": {"gelato": GOOD | {"when": 5}}},
        {"version": 1, "mixes": {"gelato": GOOD | {"sessions": {"a": [1]}}}},
        {"version": 1, "mixes": {"gelato": GOOD | {"sessions": {"a": [1, float("inf"), 0]}}}},
    ],
)
def test_a_damaged_file_is_set_aside_said_and_the_book_holds(values):
    memory_file().write_text(json.dumps(values))
    memory, words = load_memory()
    assert memory == Memory()
    assert words.startswith("The learned mixes in learned.json cannot be used (")
    assert words.endswith("it was set aside as learned.damaged.json, the usual ones hold.")
    assert load_memory() == (Memory(), None)


def test_the_values_of_a_memory_make_it_again():
    assert memory_of({"version": 1, "mixes": {"gelato": GOOD}}).mixes["gelato"].looks == 2
    one = taught(Memory(), "one", plan("gelato"), ("gelato", -0.3))
    assert memory_of(json.loads(json.dumps(values_of(one)))) == one
