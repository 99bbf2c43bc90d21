"""The settings in the real program on a virtual screen, with real key presses."""

import json

from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from studiotimer.session.reading import read
from tests.screens import needs_screen, program, screen
from tests.window.conftest import PLAN
from tests.window.test_on_screen import wait_for

pytestmark = needs_screen


def test_real_keys_make_calls_while_the_settings_are_open_and_a_foot_switch_is_bound(tmp_path, home):
    path = tmp_path / "settings.setlog"
    new_session(path, parse_plan(PLAN)).close()
    (home / "XDG_CONFIG_HOME" / "studiotimer").mkdir()
    keys = home / "XDG_CONFIG_HOME" / "studiotimer" / "keys.json"
    keys.write_text(json.dumps({"pull": ["P", "PgUp", "Volume Up"]}))
    with screen() as display, program(display, path) as running:
        running.window()
        wait_for(path, lambda entries: entries[-1].kind == "opened")
        running.press("F10")
        running.press("k")
        wait_for(path, lambda entries: entries[-1].kind == "shot")
        running.press("F10")
        running.press("F10")
        running.press("Return")
        running.press("Tab")
        running.press("Prior", wait=0.9)
        wait_for(path, lambda entries: entries[-1].kind == "pull")
        running.press("XF86AudioRaiseVolume", wait=0.9)
        wait_for(path, lambda entries: [entry.kind for entry in entries].count("pull") == 2)
        running.press("F1")
        running.press("Escape")
        running.press("p", wait=0.9)
        wait_for(path, lambda entries: [entry.kind for entry in entries].count("pull") == 3)
        assert running.end() == 0
    assert [entry.kind for entry in read(path).entries if entry.kind != "opened"][1:-1] == [
        "shot",
        "pull",
        "pull",
        "pull",
    ]
