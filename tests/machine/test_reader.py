"""What a screen reader finds on the pages, and what it is told, over the readers' own bus."""

import time

from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from tests.machine.reader import needs_reader, reader, running
from tests.window.conftest import PLAN
from tests.window.test_on_screen import wait_for

pytestmark = needs_reader


def test_a_reader_finds_words_with_their_names_and_everything_to_press_and_is_told_news(tmp_path):
    path = tmp_path / "read.setlog"
    new_session(path, parse_plan(PLAN)).close()
    with reader(tmp_path) as (display, bus), running(display, bus, path) as shown:
        shown.window()
        wait_for(path, lambda entries: entries[-1].kind == "opened")
        time.sleep(1.0)
        with bus.listening(15) as told:
            shown.press("k", "p", wait=1.0)
            shown.press("p", wait=0.1)
            shown.press(*["Tab"] * 45, wait=0.1)
        wait_for(path, lambda entries: entries[-1].kind == "pull")
        found = bus.walk()
        assert shown.end() == 0
    announced = [words for kind, words in told if kind.startswith("object:announcement")]
    assert "Lock light" in announced, "a cue is told when it comes"
    assert any(words.startswith("Counted once") for words in announced), "a message is told when it comes"
    focused = [name for kind, name in told if kind.startswith("object:state-changed:focused")]
    assert any(name.startswith("scoop 1, ") for name in focused), "a tile takes the focus"
    assert "Prep page, key F2" in focused, "a page button takes the focus"
    names = [name for _, _, name, _, _ in found]
    assert "cue: Lock light" in names, "a label has its name and its words"
    assert any(name.startswith("scoop 1, ") and "to shoot if placed now" in name for name in names), (
        "a tile answers how long its scoop would have, where no clock runs"
    )
    pressed = [(name, states) for _, role, name, _, states in found if role in ("push button", "check box", "button")]
    assert all(name for name, _ in pressed)
    for page in ("Start page", "Prep page, key F2", "Set page, key F3", "Wrap page, key F4"):
        assert any(name == page and "focusable" in states for name, states in pressed), page
    tiles = [states for name, states in pressed if name.startswith("scoop 1")]
    assert tiles
    assert "focusable" in tiles[0]
    assert all("focusable" in states for _, states in pressed if "enabled" in states)
