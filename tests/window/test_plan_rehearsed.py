"""A plan rehearsed in the window: real calls on simulated ice cream, nothing kept, compared at the end."""

import json

import pytest

from studiotimer.cli import main
from studiotimer.prep.plan import parse_plan
from studiotimer.session.reading import read
from studiotimer.session.rehearsal import RehearsalAsked
from studiotimer.trial import rehearsed
from studiotimer.trial.luck import ACCIDENTS
from tests.prep.plans import CALM
from tests.trial.test_crew import PLAN
from tests.window.prep_helpers import worked


@pytest.fixture
def rehearsal(window, tmp_path):
    """The window rehearsing a plan, far faster than a day goes."""
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(PLAN))
    window.rehearse(path, RehearsalAsked(60.0, 7))
    return window.rehearsals


@pytest.fixture
def days_tried():
    """As many as a crew has tried."""


def test_the_calls_are_the_persons_and_what_is_seen_is_told(qtbot, window, rehearsal):
    assert window.nav.view == "set"
    assert "luck 7" in rehearsal.strip.about.text()
    assert rehearsal.strip.isVisible()
    qtbot.waitUntil(lambda: "The light is right: lock it." in rehearsal.strip.told.text(), timeout=20_000)
    for lock in ("light", "set", "camera"):
        window.running.call("lock", {"which": lock, "on": True})
    assert window.running.call("pull").entry is not None
    qtbot.waitUntil(lambda: "Scoop 1 came out" in rehearsal.strip.told.text(), timeout=20_000)
    window.running.call("hero_in", {"scoops": [1]})
    qtbot.waitUntil(lambda: bool(rehearsal.strip.heroes.sights), timeout=20_000)
    assert rehearsal.strip.heroes.sights[0].number == 1
    assert "scoop 1, centre: " in rehearsal.strip.heroes.accessibleName()
    assert not rehearsal.strip.heroes.grab().isNull()


def test_the_least_window_has_room_for_it(qtbot, window, rehearsal):
    window.resize(1024, 640)
    qtbot.wait(50)
    assert (window.width(), window.height()) == (1024, 640)
    assert rehearsal.strip.width() == 1024
    assert window.page.geometry().bottom() < window.height()


def test_nothing_of_it_is_kept_or_learned(window, rehearsal, monkeypatch):
    taught = []
    monkeypatch.setattr(window.kept, "learn_from", lambda *given: taught.append(given))
    path = window.running.session.path
    assert path.exists()
    window.finish()
    assert not path.exists()
    assert not path.parent.exists()
    assert taught == []
    assert rehearsal.running is rehearsal.strip is None


def test_it_is_kept_when_it_is_asked_for(window, rehearsal):
    window.running.call("pull")
    rehearsal.strip.keep.click()
    kept = window.running.session.path
    assert rehearsal.strip.keep.isHidden()
    assert kept.name in rehearsal.strip.about.text()
    window.finish()
    assert [entry.kind for entry in read(kept).entries if entry.kind in ("shot", "pull")] == ["shot", "pull"]


def test_wrap_compares_it_with_the_day_by_its_cues(qtbot, window, rehearsal):
    window.nav.go("wrap")
    strip = rehearsal.strip
    assert strip.compared.text().startswith("You: 0 of 0 frames")
    qtbot.waitUntil(lambda: "Following the cues" in strip.compared.text(), timeout=60_000)
    cues = rehearsed.by_its_cues(rehearsal._plan, rehearsals_luck(), 7)
    assert cues.words in strip.compared.text()
    assert strip.heroes.isHidden()
    window.nav.go("set")
    assert strip.heroes.isVisible()
    assert strip.compared.isHidden()
    window.nav.plan()
    assert strip.isHidden()
    window.nav.prep._saved = window.nav.prep.draft


def rehearsals_luck():
    from studiotimer.trial.luck import usual_luck

    return usual_luck()


def test_prep_rehearses_its_plan_and_names_an_open_shoot_first(qtbot, window, page):
    worked(qtbot, page)
    page.view.trial.rehearse.click()
    assert window.rehearsals.running is window.running
    window.finish()
    page._saved = page.draft


def test_without_accidents_the_days_tried_and_the_one_rehearsed_have_none(qtbot, window, page):
    worked(qtbot, page)
    trial = page.view.trial
    qtbot.waitUntil(lambda: trial.answer is not None)
    assert trial.answer.left_out == ""
    trial.accidents.click()
    qtbot.waitUntil(lambda: trial.answer is not None)
    assert trial.answer.left_out == "without accidents"
    trial.rehearse.click()
    assert "without accidents" in window.rehearsals.strip.about.text()
    rates = window.rehearsals.rehearsing.dice.luck.rates
    assert not any(rates[what] for what in ACCIDENTS)
    window.finish()
    page._saved = page.draft


def test_an_open_shoot_is_named_before_it_is_closed_for_a_rehearsal(qtbot, window, page, tmp_path):
    worked(qtbot, page)
    window.begin(parse_plan(PLAN), tmp_path / "real.setlog")
    real = window.running
    window.nav.go("prep")
    worked(qtbot, page)
    page.view.trial.rehearse.click()
    assert window.running is real
    assert "real is open: press once more" in page.message.text()
    page.view.trial.rehearse.click()
    assert window.rehearsals.running is window.running
    assert window.running is not real
    window.finish()
    page._saved = page.draft


def test_a_plan_that_cannot_be_read_is_said(window, tmp_path):
    path = tmp_path / "plan.json"
    path.write_text("{")
    window.rehearse(path, RehearsalAsked(1.0, 1))
    assert window.running is None
    assert "not a plan" in window.start.message.text()


@pytest.mark.parametrize(
    ("change", "options", "sentence"),
    [
        ({}, ["--luck", "seven"], "luck: “seven” is not a whole number"),
        ({}, ["--speed", "0"], "speed: 0 is not possible"),
        ({}, ["--without", "rain"], "without: “rain” is nothing that goes wrong on a trial day"),
        ({"tub": {"size": "pint"}, "width": "120 mm"}, [], "flavour Vanilla: no day can give it"),
        ({"width": "65"}, [], "width: “65” has no unit"),
    ],
)
def test_bad_input_is_one_sentence(change, options, sentence, tmp_path, capsys):
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(CALM | change))
    assert main(["rehearse", str(path), *options]) == 2
    said = capsys.readouterr().err
    assert sentence in said
    assert said.count("\n") == 1


def test_a_recorded_day_has_its_own_luck(capsys, tmp_path):
    for option in (["--luck", "3"], ["--without", "dropped"]):
        assert main(["rehearse", str(tmp_path / "day.setlog"), *option]) == 2
        assert f"{option[0][2:]}: a recorded day has its own luck" in capsys.readouterr().err
