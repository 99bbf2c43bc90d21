from __future__ import annotations

import math

import pytest

from studiotimer.mixes import mixes
from studiotimer.prep.plan import Learned, Plan, parse_plan, quick_plan
from studiotimer.prep.plan_numbers import Written
from studiotimer.prep.remedies import _changes, best, remedies
from studiotimer.prep.scene import freezer_c, mix_of
from studiotimer.prep.shots import shots_of
from studiotimer.prep.whatif import Instead, what_if
from studiotimer.prep.windows import Span, joined, life_of, window_of, windows_of
from studiotimer.thermal.firmness import advised_freezer_c
from tests.prep.plans import THREE_FLAVOURS


def straight(mix: str, look: str, freezer: float, room: float, humidity: float, light: str) -> Plan:
    """A hero set down straight from the freezer, so that published check values apply."""
    plan = quick_plan("V", mix, look, room, light)  # type: ignore[arg-type]
    room_now = plan.room.model_copy(update={"humidity": humidity})
    return plan.model_copy(update={"freezer_c": freezer, "pull_to_set_s": 0.0, "pull_s": 0.0, "room": room_now})


@pytest.mark.parametrize(
    ("mix", "freezer", "sheen", "edges", "drip", "slump"),
    [("superpremium", -12.0, 62.8, 171.0, 275.7, 708.0), ("regular", -18.0, 75.3, 244.1, 444.7, 1360.0)],
)
def test_windows_are_the_looks_of_the_model(
    mix: str, freezer: float, sheen: float, edges: float, drip: float, slump: float
) -> None:
    """Check values of an independent build of the model: 22 °C, 45 %, LED 2,000 lx, pale."""
    cases = [straight(mix, look, freezer, 22.0, 0.45, "LED 2000 lx") for look in ("crisp", "sheen", "melt")]
    crisp, gloss, melt = windows_of([(plan, plan.shots[0], False) for plan in cases])
    assert crisp.start_s == pytest.approx(0.0, abs=0.5)
    assert crisp.end_s == pytest.approx(edges, rel=0.005)
    assert (gloss.start_s, gloss.end_s) == pytest.approx((sheen, edges), rel=0.005)
    assert melt.start_s == pytest.approx(drip, rel=0.005)
    assert melt.end_s == pytest.approx(slump, rel=0.01)


def test_a_group_has_the_window_all_its_heroes_share() -> None:
    shot = parse_plan(THREE_FLAVOURS).shots[0]
    window = joined([Span(5.0, 90.0), Span(0.0, 60.0), Span(12.0, 200.0)], shot)
    assert (window.start_s, window.end_s) == (12.0, 60.0)
    assert window.ended_by.spot == "middle"
    assert window.usable_from_s == 25.0
    assert window.working_s == 35.0
    assert window.frames == 35 // 6 + 1


def test_no_frame_fits_a_window_that_ends_in_the_dressing() -> None:
    shot = parse_plan(THREE_FLAVOURS).shots[0]
    assert joined([Span(0.0, 24.0)] * 3, shot).frames == 0
    assert joined([Span(math.inf, 10800.0)] * 3, shot).frames == 0
    assert joined([Span(60.0, 50.0)] * 3, shot).text == "none"


def test_a_look_that_outlasts_the_model_says_so() -> None:
    cold = quick_plan("V", "premium", "crisp", -14.0, "none")
    window = window_of(cold, cold.shots[0], iced=False)
    assert window.text == "from 0:00, over 3 h"
    shot = cold.shots[0].model_copy(update={"look": "sheen"})
    assert window_of(cold, shot, iced=False).frames == 0


def test_a_box_is_tried_when_there_is_none() -> None:
    plan = parse_plan(THREE_FLAVOURS | {"dry_ice": {"holding_box": False}})
    shot = plan.shots[1]
    kinds = [remedy.what for remedy in remedies(plan, shot)]
    assert "a dry-ice box" in kinds
    assert any(kind.startswith("dry ice on set, air at") for kind in kinds)


def test_what_was_learned_stretches_the_window() -> None:
    plan = straight("premium", "sheen", -16.0, 22.0, 0.45, "LED 2000 lx")
    slower = plan.model_copy(update={"learned": {"premium": Learned(mean=math.log(1.5), sd=0.1)}})
    plain, learned = windows_of([(each, each.shots[0], False) for each in (plan, slower)])
    assert learned.start_s == pytest.approx(1.5 * plain.start_s)
    assert learned.end_s == pytest.approx(1.5 * plain.end_s)


def test_the_change_that_helps_most_is_found_by_trying() -> None:
    plan = parse_plan(THREE_FLAVOURS)
    shot = plan.shot("Cone, backlit")
    now = window_of(plan, shot, iced=True)
    tried = remedies(plan, shot)
    frames = [remedy.window.frames for remedy in tried]
    assert frames == sorted(frames, reverse=True)
    kinds = " ".join(remedy.what for remedy in tried)
    for part in (
        "LED for tungsten",
        "more dry ice on set",
        "a box at",
        "a room at",
        "humidity",
        "dressing in 0:10",
        "a carry of 0:08",
        "20 min in the box",
    ):
        assert part in kinds
    led = next(remedy for remedy in tried if remedy.what == "LED for tungsten")
    swapped = shot.model_copy(update={"light": "LED 40960 lx"})
    assert led.window.end_s == pytest.approx(window_of(plan, swapped, iced=True).end_s, rel=1e-4)
    assert best(tried, now) is tried[0]
    assert best([], now) is None


@pytest.mark.parametrize("ice", [{"holding_box": False}, {"target_air": "6 °C"}])
def test_no_advice_swaps_the_product(ice: dict[str, object]) -> None:
    """Every change tried, for every mix there is, leaves flavours, sizes and what the shot wants as they are."""
    for name in mixes():
        flavours = [{"name": each, "mix": name} for each in ("Pistachio", "Hazelnut", "Lemon")]
        plan = parse_plan(THREE_FLAVOURS | {"flavours": flavours, "dry_ice": ice})
        for shot in plan.shots:
            for what, (changed, its) in _changes(plan, shot, "metric"):
                assert changed.flavours == plan.flavours, what
                assert (changed.width_m, its.heroes, its.look) == (plan.width_m, shot.heroes, shot.look), what
                assert not any(other in what for other in mixes()), what


def test_another_plan_has_another_best_change() -> None:
    cold_light = quick_plan("V", "premium", "crisp", 30.0, "LED 500 lx")
    shot = cold_light.shots[0].model_copy(update={"frames": 60})
    now = window_of(cold_light, shot, iced=True)
    tried = remedies(cold_light, shot)
    assert not any("LED" in remedy.what for remedy in tried)
    assert tried[0].window.working_s > now.working_s


def test_heroes_needed_are_takes_times_what_the_frames_take() -> None:
    plan = parse_plan(THREE_FLAVOURS)
    for shot, result in zip(plan.shots, shots_of(plan), strict=True):
        window = window_of(plan, shot, iced=True)
        assert result.frames_fit.value == window.frames
        assert result.groups.value == shot.takes * math.ceil(shot.frames / window.frames)
        assert result.works == (window.frames >= shot.frames)
        assert (result.verdict == "fine") == result.works
    cone = shots_of(plan)[1]
    assert not cone.works
    fit = cone.frames_fit.value
    heroes, takes = math.ceil(30 / fit), math.ceil(plan.shots[1].takes * 30 / fit)
    assert cone.verdict.startswith(f"{fit} of 30 frames fit: {heroes} heroes a take or {takes} takes of {fit}; ")
    assert "a take fewer needs 1 fewer" in shots_of(plan)[0].groups.how
    assert "fewer" not in cone.groups.how
    assert cone.tried[0].what in cone.verdict


def test_mixes_in_one_freezer_meet_midway() -> None:
    plan = parse_plan(THREE_FLAVOURS)
    pistachio, hazelnut, lemon = (advised_freezer_c(mix_of(each)) for each in plan.flavours)
    assert freezer_c(plan, plan.flavours[0]) == pytest.approx((pistachio + hazelnut) / 2)
    assert freezer_c(plan, plan.flavours[2]) == pytest.approx(lemon)
    assert freezer_c(plan.model_copy(update={"freezer_c": Written(-17.0)}), plan.flavours[2]) == -17.0


def test_what_if_agrees_with_the_plan_and_moves_the_right_way() -> None:
    plan = straight("superpremium", "crisp", -12.0, 22.0, 0.45, "LED 2000 lx")
    shot = plan.shots[0]
    same = what_if(plan, shot, Instead(dry_ice=False))
    assert tuple(at for _, at in same.marks) == pytest.approx((62.8, 171.0, 275.7), rel=0.005)
    assert same.edge_c[0] == pytest.approx(-12.0, abs=0.01)
    assert same.body_c[0] == pytest.approx(-12.0, abs=0.01)
    assert (same.edge_c[1:] > same.edge_c[:-1]).all()
    assert (same.edge_c[1:] > same.body_c[1:]).all()
    base = same.window.working_s
    better = [Instead(dry_ice=False, room_c=18.0), Instead(dry_ice=False, humidity=0.2), Instead(dry_ice_air_c=5.0),
              Instead(dry_ice=False, freezer_c=-14.0), Instead(dry_ice=False, light="none")]  # fmt: skip
    for instead in better:
        assert what_if(plan, shot, instead).window.end_s > base
    assert what_if(plan, shot, Instead(dry_ice=False, light="tungsten 20000 lx")).window.working_s < base
    assert what_if(plan, shot, Instead(dry_ice=False, width_m=0.04)).window.working_s < base


def test_the_melt_curve_reaches_its_slump() -> None:
    plan = straight("superpremium", "melt", -12.0, 22.0, 0.45, "LED 2000 lx")
    curve = what_if(plan, plan.shots[0], Instead(dry_ice=False))
    assert dict(curve.marks)["slump"] == pytest.approx(708.0, rel=0.01)
    assert curve.seconds[-1] > 708.0


@pytest.mark.parametrize("look", ["crisp", "sheen", "melt"])
def test_the_life_of_a_hero_has_its_window_and_how_sure_that_is(look: str) -> None:
    plan = quick_plan("V", "premium", look, 22.0, "LED 2000 lx")  # type: ignore[arg-type]
    life = life_of(plan)
    assert life.window.end_s == pytest.approx(window_of(plan, plan.shots[0], iced=True).end_s)
    assert life.end_early_s < life.window.end_s < life.end_late_s
    known = plan.model_copy(update={"learned": {"premium": Learned(mean=0.2, sd=0.05)}})
    taught = life_of(known)
    assert taught.window.end_s == pytest.approx(window_of(known, known.shots[0], iced=True).end_s)
    assert taught.window.end_s > life.window.end_s
    assert taught.end_late_s / taught.end_early_s < life.end_late_s / life.end_early_s


def test_a_light_without_a_reading_is_the_usual_one_and_says_so() -> None:
    plan = quick_plan("V", "premium", "crisp", 22.0, "window light")
    read = quick_plan("V", "premium", "crisp", 22.0, "daylight 2000 lx")
    (usual,), (measured,) = shots_of(plan), shots_of(read)
    assert usual.plain.value == measured.plain.value
    assert "daylight 2,000 lx as usual" in usual.plain.how
    assert "usual" not in measured.plain.how
