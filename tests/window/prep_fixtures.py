"""The Prep page of a new plan, and of a demo's."""

import pytest

from studiotimer.places import demo_sessions
from studiotimer.window.prep import trial_line
from tests.window.prep_helpers import worked

FEW = 20
HOT = demo_sessions() / "hot_tungsten" / "plan.json"


@pytest.fixture
def days_tried(monkeypatch):
    """Prep tries a plan's days beside everything else: few of them, where they are not what is tested."""
    monkeypatch.setattr(trial_line, "days_worth", lambda _: FEW)


@pytest.fixture
def page(qtbot, window, days_tried):
    """The Prep page of a new plan."""
    window.nav.plan()
    page = window.nav.prep
    worked(qtbot, page)
    yield page
    page._saved = page.draft


@pytest.fixture
def hot(qtbot, page):
    """The Prep page with the plan of three flavours under hot light."""
    assert page.open_plan(HOT) is None
    worked(qtbot, page)
    return page
