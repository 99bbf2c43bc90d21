"""Pictures of the settings: each section under a running clock, the key editor's states, the list of keys, as a page."""

from __future__ import annotations

from datetime import date

from studiotimer.places import demo_sessions
from studiotimer.session.memory import Known, Lesson, Memory

ALL = ("1024x640", "1280x800", "1920x1080")
LEARNED = Memory(
    {
        "superpremium": Known(-0.128, 0.14, 5, "2026-06-14", False, {"a": Lesson(5, 26.0, -6.5)}),
        "gelato": Known(0.07, 0.17, 2, "2026-05-02", False, {"a": Lesson(2, 9.6, 2.4)}),
        "house blood orange sorbet, low sugar": Known(0.19, 0.19, 1, "2026-06-14", False, {"b": Lesson(1, 2.7, 5.2)}),
    }
)


def settings(studio) -> None:
    """The settings and the list of keys, on the Set page and as pages."""
    from studiotimer.window.main import MainWindow
    from tests.kept import save_memory
    from tests.pictures import _rehearse

    save_memory(LEARNED.corrected("gelato", 1.05, date(2026, 6, 20)))
    window = MainWindow()
    window.show()
    window.activateWindow()
    studio.settle()
    window.settings_shown.ask("settings")
    studio.shoot(window, "settings-page", ALL)
    window.settings_shown.ask("settings")
    window.settings_shown.ask("key_list")
    studio.shoot(window, "keys-page", ALL)
    window.settings_shown.ask("key_list")
    hot = demo_sessions() / "hot_tungsten" / "hot_tungsten.setlog"
    _rehearse(studio, window, hot, lambda entry: entry.kind == "hero_in", 22)
    window.page.act("settings")
    panel = window.page.below.part
    window.sounds.engine.trouble = None
    for name in panel.sections:
        panel.names[name].setFocus()
        panel.names[name].click()
        studio.shoot(window, f"settings-{name.lower()}", ALL)
    panel.names["Keys"].click()
    swap = panel.keys.rows["swap"]
    swap.add.click()
    studio.shoot(window, "settings-key-waiting", ALL)
    swap.add.caught.emit("P")
    swap.add.listen(False)
    studio.shoot(window, "settings-key-refused", ALL)
    swap.add.caught.emit("Media Play")
    studio.shoot(window, "settings-key-taken", ALL)
    panel.names["Learned"].click()
    panel.sections["Learned"].forget_all.click()
    studio.shoot(window, "settings-forgotten", ("1280x800",))
    panel.undo.click()
    studio.shoot(window, "settings-undone", ("1280x800",))
    window.page.act("key_list")
    studio.shoot(window, "keys-list", ALL)
    window.page.act("let_go")
    window.kept.change("units US", units="US")
    studio.shoot(window, "set-us", ALL)
    window.close()
