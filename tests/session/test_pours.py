"""Sauce poured: the span in which it runs, what is filled in from the plan, and what cannot be."""

import pytest

from studiotimer.session.calls.registry import made
from studiotimer.session.first_lines import BadLineError
from tests.session.shoots import plan
from tests.session.test_feet import foretold, shot
from tests.session.test_forecast import begin as begin
from tests.session.test_forecast import call

STEPS = [
    {"what": "nuts", "seconds": "5 s"},
    {"what": "caramel", "seconds": "12 s", "temperature": "18 °C"},
    {"what": "fudge", "seconds": "20 s", "temperature": "25 °C"},
]


def on_set(begin, **fields):
    session, clock = begin(plan(shots=shot(**fields)))
    call(session, clock, "pull", flavour="vanilla")
    call(session, clock, "hero_in", 75)
    return session, clock


def pours(session):
    return session.state.heroes()[0].pours


def test_it_runs_from_the_call_for_as_long_as_its_step_says(begin):
    session, clock = on_set(begin, steps=STEPS)
    call(session, clock, "poured", 10)
    (poured,) = pours(session)
    assert (poured.what, poured.until - poured.at) == ("caramel", 12.0)
    assert foretold(session).pours == (poured,)
    call(session, clock, "poured", 10)
    assert [(one.what, one.until - one.at) for one in pours(session)] == [("caramel", 12.0), ("fudge", 20.0)]
    call(session, clock, "poured", 10)
    assert (pours(session)[-1].what, pours(session)[-1].until - pours(session)[-1].at) == ("sauce", 40.0)


def test_dressing_on_set_is_the_sum_of_the_steps(begin):
    session, _ = on_set(begin, steps=STEPS)
    assert session.state.shot.dressing_s == 37.0


def test_a_scoop_styled_anew_has_no_sauce_of_its_stay_before(begin):
    session, clock = on_set(begin)
    number = session.state.heroes()[0].number
    call(session, clock, "poured", 10)
    call(session, clock, "out", 5, scoops=[number], why="restyle")
    call(session, clock, "hero_in", 60, scoops=[number])
    assert len(pours(session)) == 1
    assert foretold(session).pours == ()


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"temperature_c": 200.0}, "poured: temperature_c: 200 is not possible; give at most 110"),
        ({"runs_s": -1.0}, "poured: runs_s: −1 is not possible"),
        ({"scoops": []}, "poured: scoops: it is empty"),
    ],
)
def test_what_cannot_be_is_one_sentence(fields, said):
    entry = {"n": 1, "run": 1, "at": "2031-06-14T10:00:00Z", "tick": 0.0, "scoops": [1]}
    with pytest.raises(BadLineError) as caught:
        made("poured", entry | fields)
    assert str(caught.value).startswith(said)


def test_a_pour_on_a_scoop_that_is_out_cannot_be_true(begin):
    session, clock = on_set(begin)
    number = session.state.heroes()[0].number
    call(session, clock, "out", 5, scoops=[number], why="gone")
    outcome = session.call("poured", {"scoops": [number]})
    assert outcome.refused is not None
    assert "is already out" in str(outcome.refused)
    assert session.state.scoops[number].pours == ()
