"""Pictures of the Wrap page on the demos and their frames; part of `python -m tests.pictures OUT`."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path


def wrap_page(studio) -> None:
    """The Wrap page: nothing open, a session, its frames, the camera's clock asked for, the tables, the dark."""
    from studiotimer.places import demo_sessions
    from studiotimer.window.main import MainWindow

    window = MainWindow()
    window.show()
    window.activateWindow()
    window.nav.go("wrap")
    page = window.nav.wrap
    studio.shoot(window, "wrap-empty", ("1280x800",))
    with tempfile.TemporaryDirectory() as folder:
        for name, ahead_s in (("calm_led", 0.0), ("hot_tungsten", -3.0)):
            demo = Path(folder) / name
            shutil.copytree(demo_sessions() / name, demo)
            page.wrapped = None
            page.open_session(demo / f"{name}.setlog")
            studio.wait(lambda: page.wrapped is not None)
            page.wrapped = None
            asked = page.given.asked
            page.given.asked = type(asked)(selects=demo / "selects.csv", camera_ahead_s=ahead_s)
            page.frames_given(demo / "frames")
            studio.wait(lambda: page.wrapped is not None)
            studio.settle(1.5)
            studio.shoot(window, f"wrap-{name.replace('_', '-')}", ("1280x800", "1920x1080", "1024x640"))
        page.match_camera()
        studio.shoot(window, "wrap-camera", ("1280x800", "1024x640"))
        page.camera.hide()
        page.turn()
        studio.shoot(window, "wrap-tables", ("1280x800",))
        page.compare_in(Path(folder))
        studio.wait(lambda: "Sessions compared" in page.tables.toPlainText())
        studio.shoot(window, "wrap-side-by-side", ("1280x800",))
        page.turn()
        window.kept.change("dark pages", colours="dark")
        studio.shoot(window, "wrap-dark", ("1280x800",))
        window.nav.go("start")
        studio.shoot(window, "start-dark", ("1280x800",))
        window.kept.undo()
        window.close()
