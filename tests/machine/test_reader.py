"""What a screen reader finds on the pages, and what it is told, over the readers' own bus."""

import time

from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from studiotimer.session.reading import read
from tests.machine.reader import needs_reader, reader, running
from tests.screens import PATIENCE_S
from tests.window.conftest import PLAN
from tests.window.test_on_screen import wait_for

pytestmark = needs_reader
PRESSED = ("push button", "check box", "button", "list item")


def was_told(told, kind, begins):
    return any(one.startswith(f"object:{kind}") and words.startswith(begins) for one, words in tuple(told))


def heard(told, kind, begins, why):
    """Wait until something was told that begins so."""
    end = time.monotonic() + PATIENCE_S
    while not was_told(told, kind, begins):
        assert time.monotonic() < end, (why, told)
        time.sleep(0.1)


def listened_to(shown, told):
    """Wait until the program knows that somebody listens, which it is told aside; it tells nobody before."""
    end = time.monotonic() + PATIENCE_S
    while not was_told(told, "state-changed:focused", ""):
        assert time.monotonic() < end, told
        shown.press("Tab", "shift+Tab", wait=0.2)


def pulls(path):
    return sum(one.kind == "pull" for one in read(path).entries)


def press_twice_at_once(shown, path, told):
    """Press a key twice so soon that it counts once; on a busy machine they may be further apart, then again."""
    end = time.monotonic() + PATIENCE_S
    while not was_told(told, "announcement", "Counted once"):
        before = pulls(path)
        shown.do("key", "--delay", 100, "p", "p")
        while pulls(path) < before + 2 and not was_told(told, "announcement", "Counted once"):
            assert time.monotonic() < end, ("a message is told when it comes", told)
            time.sleep(0.1)


def test_a_reader_finds_words_with_their_names_and_everything_to_press_and_is_told_news(tmp_path):
    path = tmp_path / "read.setlog"
    new_session(path, parse_plan(PLAN)).close()
    with reader(tmp_path) as (display, bus), running(display, bus, path) as shown:
        shown.window()
        wait_for(path, lambda entries: entries[-1].kind == "opened")
        with bus.listening() as told:
            listened_to(shown, told)
            shown.press("k")
            wait_for(path, lambda entries: entries[-1].kind == "shot")
            heard(told, "announcement", "Lock light", "a cue is told when it comes")
            press_twice_at_once(shown, path, told)
            shown.press(*["Tab"] * 45, wait=0.1)
            heard(told, "state-changed:focused", "scoop 1, ", "a tile takes the focus")
            heard(told, "state-changed:focused", "Prep page, key F2", "a page button takes the focus")
        found = bus.walk()
        assert shown.end() == 0
    names = [name for _, _, name, _, _ in found]
    assert "cue: Lock light" in names, "a label has its name and its words"
    assert any(name.startswith("scoop 1, ") and "to shoot if placed now" in name for name in names), (
        "a tile answers how long its scoop would have, where no clock runs"
    )
    pressed = [(name, states) for _, role, name, _, states in found if role in PRESSED]
    assert all(name for name, _ in pressed)
    for page in ("Start page", "Prep page, key F2", "Set page, key F3", "Wrap page, key F4"):
        assert any(name == page and "focusable" in states for name, states in pressed), page
    tiles = [states for name, states in pressed if name.startswith("scoop 1")]
    assert tiles
    assert "focusable" in tiles[0]
    assert all("focusable" in states for _, states in pressed if "enabled" in states)
