"""How often such a day gives every shot, on the Prep page: live, aside, stopped, explained."""

import pytest
from PySide6.QtCore import Qt

from studiotimer.trial import answer as answers
from studiotimer.trial.days import try_days
from studiotimer.window.prep import trial_line
from tests.window.prep_helpers import worked, write


@pytest.fixture
def days_tried():
    """As many as a crew has tried."""


def tried(qtbot, page):
    worked(qtbot, page)
    qtbot.waitUntil(lambda: not page.view.trial.busy, timeout=30_000)
    return page.view.trial


def test_the_sentence_stands_first_and_follows_the_plan(qtbot, hot):
    line = tried(qtbot, hot)
    first, answer = line.said.text(), line.answer
    assert first == answer.sentence
    assert first.startswith("Every shot by ")
    assert hot.view.layout().indexOf(line) == 0
    write(qtbot, hot, ("room", "air"), "38 C")
    assert line.said.text() == trial_line.TRYING or line.answer is not None
    line = tried(qtbot, hot)
    assert line.answer != answer, "warmer air, other days"
    assert line.said.text() == line.answer.sentence


def test_it_is_the_answer_of_the_command(qtbot, hot):
    line = tried(qtbot, hot)
    assert line.answer == answers.answer_of(hot.results, 1000, trial_line.SEED)


def test_how_it_was_found_unfolds(qtbot, hot):
    line = tried(qtbot, hot)
    assert line.how.isHidden()
    qtbot.keyClick(line.link, Qt.Key.Key_Space)
    assert not line.how.isHidden()
    assert "1,000 simulated days" in line.how.text
    assert "Wilson" in line.how.text
    assert "own rule" in line.how.text
    qtbot.keyClick(line.link, Qt.Key.Key_Space)
    assert line.how.isHidden()


@pytest.fixture
def slow(monkeypatch):
    """Days that take until they are stopped."""
    begun = []

    def endless(setup, draws, stopped=lambda: False):
        begun.append(draws.seed)
        while not stopped():
            pass
        return try_days(setup, draws, stopped)

    monkeypatch.setattr(answers, "try_days", endless)
    return begun


def test_it_can_be_stopped_and_begun_again(qtbot, hot, slow, monkeypatch):
    line = hot.view.trial
    write(qtbot, hot, ("room", "air"), "26 C")
    qtbot.waitUntil(lambda: bool(slow), timeout=30_000)
    assert line.busy
    assert not line.turn.isHidden()
    assert line.said.text() == trial_line.TRYING
    qtbot.keyClick(line.turn, Qt.Key.Key_Space)
    assert not line.busy
    assert line.said.text() == trial_line.STOPPED
    qtbot.waitUntil(lambda: not line._aside.busy, timeout=30_000)
    before = len(slow)
    write(qtbot, hot, ("room", "air"), "27 C")
    assert line.said.text() == trial_line.STOPPED
    assert len(slow) == before
    monkeypatch.undo()
    qtbot.keyClick(line.turn, Qt.Key.Key_Space)
    assert tried(qtbot, hot).said.text() == line.answer.sentence


def test_an_edit_ends_the_days_of_the_plan_before(qtbot, hot, slow, monkeypatch):
    line = hot.view.trial
    write(qtbot, hot, ("room", "air"), "26 C")
    qtbot.waitUntil(lambda: bool(slow), timeout=30_000)
    monkeypatch.undo()
    write(qtbot, hot, ("room", "air"), "27 C")
    assert tried(qtbot, hot).answer == answers.answer_of(hot.results, 1000, trial_line.SEED)
    assert line.turn.isHidden()


def test_a_plan_that_cannot_be_shot_says_so(qtbot, hot):
    write(qtbot, hot, ("shots", 0, "dressing"), "40 min")
    line = tried(qtbot, hot)
    assert line.answer is None
    assert "no day can give it" in line.said.text()
    assert line.said.property("role") == "warning"
    assert line.link.isHidden()


def test_a_large_plan_is_tried_on_fewer_days(hot, monkeypatch):
    assert answers.days_worth(hot.results) == 1000
    monkeypatch.setattr(answers, "USUAL_WORK", 1500)
    assert 100 <= answers.days_worth(hot.results) < 1000
