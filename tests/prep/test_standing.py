"""What a shot stands on: the foot told in one line with what helps, the window it ends, and old plans."""

import json
import math

import pytest

from studiotimer import plates
from studiotimer.prep.plan import PlanError, parse_plan, plan_text, quick_plan
from studiotimer.prep.remedies import remedies
from studiotimer.prep.scene import check
from studiotimer.prep.shots import shots_of
from studiotimer.prep.standing import foot_of
from studiotimer.prep.windows import life_of, scoop_of, window_of
from studiotimer.window.prep.questions import SHOT


def on(**fields):
    shot = {"name": "Cup", "heroes": [{"flavour": "V"}], **fields}
    return parse_plan({
        "date": "2031-06-14", "flavours": [{"name": "V", "mix": "superpremium"}], "shots": [shot],
        "dry_ice": {"holding_box": False}, "pull": "0 s", "pull_to_set": "0 s", "freezer": "-12 °C",
    })  # fmt: skip


def foot_s(plan):
    shot = plan.shots[0]
    return foot_of(shot, scoop_of(plan, shot, shot.heroes[0], iced=False)).seconds


def test_the_line_has_the_foot_and_what_helps():
    found = shots_of(on(stands_on="slate", plate="8 mm", base="36 mm"))[0].foot
    assert found.value == pytest.approx(9.6, rel=0.04)
    assert found.text.startswith("foot 0:09 (0:03 to 0:2")
    assert "on slate 8 mm at 22 °C" in found.text
    assert "chilled to 4 °C: 4:0" in found.text
    assert "on glass 3 mm: 2:2" in found.text
    assert "on a frozen base: none" in found.text
    assert "base 36 mm across" in found.how


def test_a_chilled_plate_and_one_that_comes_with_its_hero():
    assert foot_s(on(stands_on="slate", plate_is="chilled", plate_at="4 °C", base="36 mm")) == pytest.approx(
        242, rel=0.04
    )
    assert foot_s(on(stands_on="slate", plate_is="with its hero")) == math.inf
    told = shots_of(on(stands_on="slate", plate_is="with its hero"))[0].foot
    assert told.value is None
    assert told.text.startswith("foot not within 15 min, soonest 14:")
    assert "on slate 8 mm at −12 °C" in told.text
    assert "chilled" not in told.text


def test_a_cone_has_no_foot():
    assert foot_s(on(stands_on="wafer")) == math.inf
    assert shots_of(on(stands_on="wafer"))[0].foot.text == "no foot: it stands on a cone"
    assert shots_of(on(stands_on="scoop"))[0].foot.text == "no foot: it stands on another scoop"


@pytest.mark.parametrize("look", ["crisp", "sheen"])
def test_a_foot_in_the_frame_ends_the_window(look):
    hidden = on(stands_on="glass", look=look)
    seen = on(stands_on="glass", look=look, foot_in_frame=True)
    foot = foot_s(seen)
    assert foot < window_of(hidden, hidden.shots[0], iced=False).end_s
    assert window_of(seen, seen.shots[0], iced=False).end_s == foot
    assert life_of(seen).window.end_s == foot
    assert life_of(seen).end_early_s < foot < life_of(seen).end_late_s


def test_melt_does_not_end_at_the_foot():
    hidden, seen = on(stands_on="slate", look="melt"), on(stands_on="slate", look="melt", foot_in_frame=True)
    assert window_of(seen, seen.shots[0], iced=False) == window_of(hidden, hidden.shots[0], iced=False)


def test_where_it_is_not_told_no_foot_is_foretold():
    old = quick_plan("V", "premium", "crisp", 22.0, "LED 2000 lx")
    assert old.shots[0].stands_on is None
    assert shots_of(old)[0].foot is None
    assert shots_of(old)[0].as_json()["foot"] is None
    unseen = on(foot_in_frame=True)
    assert window_of(unseen, unseen.shots[0], iced=False) == window_of(on(), on().shots[0], iced=False)


def test_a_plan_keeps_what_was_written():
    plan = on(stands_on="slate", plate="0.3 in", plate_is="chilled", plate_at="40 °F", base="36 mm", foot_in_frame=True)
    shot = parse_plan(json.loads(plan_text(plan))).shots[0]
    assert (shot.stands_on, shot.plate_m.text, shot.plate_at_c.text) == ("slate", "0.3 in", "40 °F")
    assert shot.foot_in_frame


@pytest.mark.parametrize(
    ("fields", "says", "field"),
    [
        ({"stands_on": "jelly"}, "shot Cup, stands on: “jelly” is not something a scoop stands on", "stands_on"),
        ({"stands_on": "slate", "plate": "0.05 mm"}, "shot Cup, plate: 0.05 mm is not possible", "plate"),
        ({"stands_on": "slate", "base": "50 cm"}, "shot Cup, base: 500 mm is not possible", "base"),
        ({"stands_on": "slate", "plate_is": "chilled"}, "shot Cup, plate at: a chilled plate needs", "plate_at"),
    ],
)
def test_what_cannot_be_is_one_sentence_at_its_field(fields, says, field):
    with pytest.raises(PlanError) as caught:
        check(on(**fields))
    assert str(caught.value).startswith(says)
    assert [problem.place for problem in caught.value.problems] == [("shots", 0, field)]


def test_a_thickness_of_nothing():
    with pytest.raises(PlanError, match=r"plate: 0 mm is not possible"):
        on(stands_on="slate", plate="0 mm")


def test_all_that_is_known_is_offered():
    (asked,) = (ask for ask in SHOT if ask.path == ("stands_on",))
    assert asked.choices == tuple((name, name) for name in plates.names())


def whats(plan):
    return [remedy.what for remedy in remedies(plan, plan.shots[0])]


def test_a_chilled_plate_is_proposed_where_the_foot_ends_the_window():
    plan = on(stands_on="slate", foot_in_frame=True)
    tried = {remedy.what: remedy.window for remedy in remedies(plan, plan.shots[0])}
    chilled = tried["a plate chilled to 4 °C"]
    assert chilled.end_s > 2 * window_of(plan, plan.shots[0], iced=True).end_s
    assert "a plate chilled to 4 °C" not in whats(on(stands_on="slate"))
    assert "a plate chilled to 4 °C" not in whats(on(stands_on="oak", foot_in_frame=True))
    assert "a plate chilled to 4 °C" not in whats(on(stands_on="wafer", foot_in_frame=True))
    assert "a plate chilled to 4 °C" not in whats(on(stands_on="slate", look="melt", foot_in_frame=True))
    cold = on(stands_on="slate", plate_is="chilled", plate_at="2 °C", foot_in_frame=True)
    assert "a plate chilled to 4 °C" not in whats(cold)
    assert "foot" in shots_of(on(stands_on="slate", foot_in_frame=True))[0].foot.text
