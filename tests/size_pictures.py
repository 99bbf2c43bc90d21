"""Pictures of the pages drawn larger than usual: `python -m tests.size_pictures OUT TIMES`, one process a size.

The windows are as large as ever on the screen, so there is less room in logical pixels.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

WINDOWS = ("1280x800", "1024x640")


def pages(studio, times: float) -> None:
    """Every page, its parts and sides, at one size."""
    from studiotimer.places import demo_sessions
    from studiotimer.window.main import MainWindow
    from tests import pictures
    from tests.prep_pictures import worked

    pictures.SIZES.update({name: (round(w / times), round(h / times)) for name, (w, h) in pictures.SIZES.items()})
    end = f"{times * 100:.0f}"
    window = MainWindow()
    window.show()
    window.activateWindow()
    studio.settle()
    studio.shoot(window, f"start-{end}", WINDOWS)
    window.settings_shown.ask("settings")
    panel = window.pages.part
    for name in panel.sections:
        panel.show_section(name)
        studio.shoot(window, f"settings-{name.lower()}-{end}", WINDOWS)
    window.settings_shown.ask("settings")
    window.settings_shown.ask("key_list")
    studio.shoot(window, f"keys-{end}", WINDOWS)
    window.settings_shown.ask("key_list")
    window.nav.plan()
    prep = window.nav.prep
    prep.open_plan(demo_sessions() / "hot_tungsten" / "plan.json")
    worked(studio, prep)
    studio.shoot(window, f"prep-{end}", WINDOWS)
    prep.other_side()
    studio.shoot(window, f"prep-other-{end}", WINDOWS)
    prep.preview_sheet()
    studio.shoot(window, f"prep-preview-{end}", WINDOWS)
    prep.leave_preview()
    window.nav.go("wrap")
    wrap = window.nav.wrap
    studio.shoot(window, f"wrap-empty-{end}", WINDOWS)
    wrap.open_session(demo_sessions() / "hot_tungsten" / "hot_tungsten.setlog")
    wrap.frames_given(demo_sessions() / "hot_tungsten" / "frames")
    studio.wait(lambda: wrap.strip.frames.rowCount() > 0)
    studio.settle(1.5)
    studio.shoot(window, f"wrap-{end}", WINDOWS)
    hot = demo_sessions() / "hot_tungsten" / "hot_tungsten.setlog"
    pictures._rehearse(studio, window, hot, lambda entry: entry.kind == "hero_in", 22)
    studio.shoot(window, f"set-{end}", WINDOWS)
    window.page.act("settings")
    studio.shoot(window, f"set-settings-{end}", WINDOWS)
    window.page.act("let_go")
    window.nav.go("prep")
    studio.shoot(window, f"prep-beside-{end}", WINDOWS)
    window.close()


def main(argv: list[str]) -> int:
    """Write the pictures of one size into a folder."""
    from tests.pictures import Studio, home, with_screen

    if len(argv) != 2:
        print("usage: python -m tests.size_pictures OUT TIMES")
        return 2
    status = with_screen(argv, "tests.size_pictures")
    if status is not None:
        return status
    out, times = Path(argv[0]), float(argv[1])
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, home(folder):
        from studiotimer.window.settings.values import Settings
        from tests.kept import save_settings

        save_settings(Settings(size=times))
        pages(Studio(out), times)
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
