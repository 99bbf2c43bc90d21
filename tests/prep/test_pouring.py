"""Steps of dressing: their seconds, how warm a sauce may be poured, and what the planned one would do."""

import datetime as dt
import json

import pytest

from studiotimer.prep.plan import PlanError, parse_plan, plan_text
from studiotimer.prep.pouring import poured_on_c
from studiotimer.prep.printed import printed_sheet
from studiotimer.prep.results import results_of
from studiotimer.prep.shots import shots_of
from studiotimer.prep.windows import scoop_of, window_of
from studiotimer.thermal.sauce import advised_c
from tests.prep.test_standing import on


def at_once(**fields):
    """A plan whose scoop is on set as it leaves its freezer at -12 °C."""
    return on(**fields).model_copy(update={"pull_s": 0.0})


MADE = dt.datetime(2031, 1, 2, tzinfo=dt.UTC)
CARAMEL = {"what": "caramel", "who": "Ana", "seconds": "10 s", "temperature": "30 °C"}


def test_dressing_is_the_sum_of_the_steps_where_there_are_any():
    steps = [{"what": "sprinkles", "seconds": "25 s"}, CARAMEL]
    plan = on(steps=steps, dressing="5 s")
    assert plan.shots[0].dressing_s == 35.0
    assert window_of(plan, plan.shots[0], iced=False).dressing_s == 35.0
    assert on(dressing="5 s").shots[0].dressing_s == 5.0
    assert parse_plan(json.loads(plan_text(plan))) == plan
    assert type(plan).from_snapshot(plan.snapshot()) == plan


def test_an_old_plan_has_no_steps_and_no_line():
    plan = on()
    assert plan.shots[0].steps == []
    assert shots_of(plan)[0].sauces == ()


def test_the_line_has_the_warmest_harmless_and_what_the_planned_does():
    """Check values of the method: 24 °C on an edge at -12 °C, where 30 °C melts 0.47 mm of a half-space within 5 %."""
    (found,) = shots_of(at_once(steps=[CARAMEL]))[0].sauces
    assert found.value == pytest.approx(advised_c(scoop(at_once()).mix, -12.0), abs=0.1)
    assert found.text.startswith("caramel (Ana): pour it at ")
    assert "at 30 °C, as planned, it melts 0." in found.text
    assert found.text.endswith("mm of the body: it shows")
    (mild,) = shots_of(at_once(steps=[CARAMEL | {"temperature": "10 °C"}]))[0].sauces
    assert mild.text.endswith(": harmless")
    (cool,) = shots_of(at_once(steps=[{"what": "nuts", "seconds": "60 s"}, CARAMEL]))[0].sauces
    assert cool.value < found.value
    assert "1:00 on set" in cool.how


def scoop(plan):
    return scoop_of(plan, plan.shots[0], plan.shots[0].heroes[0], iced=False)


def test_the_edge_is_as_warm_as_the_steps_before_leave_it():
    here = scoop(at_once())
    assert poured_on_c(here, 0.0) == pytest.approx(-12.0, abs=0.01)
    assert -12.0 < poured_on_c(here, 20.0) < poured_on_c(here, 60.0)


def test_the_flavour_that_bears_least_is_told():
    values = json.loads(plan_text(at_once(steps=[CARAMEL])))
    values["flavours"].append({"name": "S", "mix": "sorbet"})
    values["shots"][0]["heroes"] = [{"flavour": "V", "spot": "left"}, {"flavour": "S", "spot": "right"}]
    plan = parse_plan(values)
    (found,) = shots_of(plan)[0].sauces
    alone = [
        shots_of(parse_plan(values | {"shots": [values["shots"][0] | {"heroes": [hero]}]}))[0].sauces[0].value
        for hero in values["shots"][0]["heroes"]
    ]
    least = min(alone, key=lambda warm: -1.0 if warm is None else warm)
    assert found.value == least


@pytest.mark.parametrize(
    ("bad", "said"),
    [
        (CARAMEL | {"temperature": "200 °C"}, "temperature: 200 °C is not possible; give −20 to 110 °C"),
        (CARAMEL | {"temperature": "hot"}, "temperature: “hot”"),
        (CARAMEL | {"seconds": "-3 s"}, "seconds: "),
        ({"seconds": "3 s"}, "what: it is missing"),
        (CARAMEL | {"flavour": "x"}, "flavour: there is no such field"),
    ],
)
def test_a_bad_step_is_one_sentence_with_its_place(bad, said):
    with pytest.raises(PlanError) as caught:
        on(steps=[bad])
    assert said in str(caught.value)
    assert "step 1" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_the_steps_stand_on_the_run_sheet_after_their_heroes():
    plan = on(steps=[{"what": "sprinkles", "seconds": "25 s"}, CARAMEL])
    name = plan.shots[0].name
    for style, warm in (("metric", "30 °C"), ("US", "86 °F")):
        sheet = results_of(plan, style).run_sheet
        heroes = next(place for place, one in enumerate(sheet) if one.key == f"heroes {name}")
        steps = [one for one in sheet if one.key.startswith("step ")]
        assert [(one.what, one.who) for one in steps] == [
            (f"{name}: sprinkles, 0:25", "stylist"),
            (f"{name}: caramel poured at {warm}, 0:10", "Ana"),
        ]
        assert [sheet.index(one) > heroes and one.at == sheet[heroes].at for one in steps] == [True, True]
    printed = [(line.what, line.who) for line in printed_sheet(results_of(plan), MADE).run_sheet]
    assert (f"{name}: caramel poured at 30 °C, 0:10", "Ana") in printed
