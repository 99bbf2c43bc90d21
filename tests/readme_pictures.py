"""The pictures of README: `python -m tests.readme_pictures` writes resources/pictures from the real window."""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

from tests.pictures import Studio, with_screen

OUT = Path(__file__).parents[1] / "resources" / "pictures"
SIZE = (1280, 800)
HOME = "/home/ida"
"""Whose home the settings show: nobody's, on whatever machine the pictures are taken."""
KEPT = {"CONFIG": ".config", "DATA": ".local/share", "STATE": ".local/state", "RUNTIME": "run"}


def set_picture(studio, window) -> None:
    """Three heroes in their window."""
    from studiotimer.places import demo_sessions
    from studiotimer.prep.loading import load_plan
    from studiotimer.session.live import new_session
    from tests.session.clocks import HandClock

    clock = HandClock()
    plan = load_plan(demo_sessions() / "hot_tungsten" / "plan.json")
    with tempfile.TemporaryDirectory() as folder:
        window._run(new_session(Path(folder) / "coupe.setlog", plan, clock))

        def call(kind, wait=20.0, **given):
            clock.advance(wait)
            assert window.running.call(kind, given).refused is None

        call("shot")
        call("top_up", mass_kg=1.0, form="pellets", where="set")
        for which in ("light", "set", "camera"):
            call("lock", which=which, on=True)
        for flavour in ("brown butter", "hazelnut", "blood orange") * 2:
            call("pull", 40, flavour=flavour)
        call("hero_in", 60)
        clock.advance(130)
        window.running.forecast = None
        window.running.ask_forecast()
        studio.wait(lambda: window.running.forecast is not None)
        window.resize(*SIZE)
        studio.settle(2.0)
        window.page.stand("")
        window.page.say("")
        studio.settle(0.3)
        window.grab().save(str(OUT / "set.png"))
        window.close_session()


def life_picture() -> None:
    """One hero's whole life: superpremium from -18 °C, room 24 °C and 50 %, tungsten 20,000 lx."""
    from PySide6.QtCore import QRectF
    from PySide6.QtGui import QColor, QImage, QPainter

    from studiotimer.lamps import parse_light
    from studiotimer.mixes import mixes
    from studiotimer.session.countdowns import Band
    from studiotimer.thermal.scoop import changes
    from studiotimer.thermal.surroundings import room
    from studiotimer.window import theme
    from studiotimer.window.ribbon import Ribbon, RibbonBand, paint_ribbon

    light = parse_light("tungsten 20000 lx")
    life = changes(mixes()["superpremium"], -18.0, room(24.0, 0.5, light.absorbed("pale")))
    starts = (0.0, life.crisp_s, life.sheen_s, life.edges_s, life.first_drip_s, life.slump_s)
    never = Band(float("inf"), float("inf"), float("inf"))
    ribbon = Ribbon((RibbonBand("one hero", starts),), life.sheen_s / 2, float("inf"), never, life.slump_s * 1.2)
    image = QImage(1280, 110, QImage.Format.Format_RGB32)
    image.fill(QColor(theme.INK))
    painter = QPainter(image)
    paint_ribbon(painter, QRectF(24, 8, 1232, 94), ribbon, QColor(theme.CREAM), QColor(theme.DARK.quiet))
    painter.end()
    image.save(str(OUT / "life.png"))


def page_pictures(studio, window) -> None:
    """The start page, Prep and Wrap on the demo of three flavours."""
    from studiotimer.places import demo_sessions

    window.resize(*SIZE)
    studio.wait(lambda: bool(window.start.life.words.text().strip()))
    studio.wait(lambda: all(row.about.text().strip() for row in window.start.demos.rows.values()))
    window.start.say("")
    studio.settle(0.5)
    window.grab().save(str(OUT / "start.png"))
    folder = demo_sessions() / "hot_tungsten"
    window.plan_demo(folder / "hot_tungsten.setlog")
    window.resize(*SIZE)
    studio.settle(10.0)
    window.nav.say("")
    studio.settle(0.2)
    window.grab().save(str(OUT / "prep.png"))
    window.nav.go("wrap")
    page = window.nav.wrap
    page.open_session(folder / "hot_tungsten.setlog")
    studio.wait(lambda: page.wrapped is not None)
    page.wrapped = None
    page.given.asked = type(page.given.asked)(selects=folder / "selects.csv", camera_ahead_s=-3.0)
    page.frames_given(folder / "frames")
    studio.wait(lambda: page.wrapped is not None)
    studio.settle(2.0)
    window.grab().save(str(OUT / "wrap.png"))


def settings_pictures(studio, window) -> None:
    """The settings, with what invented shoots taught, and the keys."""
    window.resize(*SIZE)
    studio.settle(3.0)
    window.start.say("")
    for name, asked in (("settings", "settings"), ("keys", "key_list")):
        window.settings_shown.ask(asked)
        _at_home(window)
        studio.settle(0.5)
        window.grab().save(str(OUT / f"{name}.png"))
        window.settings_shown.ask(asked)


def _at_home(window) -> None:
    """Have folders of the home of these pictures read as ones of the invented home."""
    from PySide6.QtWidgets import QLabel, QLineEdit

    for words in (*window.findChildren(QLabel), *window.findChildren(QLineEdit)):
        if os.environ["HOME"] in words.text():
            words.setText(words.text().replace(os.environ["HOME"], HOME))


def main() -> int:
    """Write the pictures."""
    status = with_screen([], "tests.readme_pictures")
    if status is not None:
        return status
    OUT.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as home:
        os.environ["HOME"] = home
        os.environ |= {f"XDG_{one}_{'DIR' if one == 'RUNTIME' else 'HOME'}": f"{home}/{at}" for one, at in KEPT.items()}
        Path(home, KEPT["RUNTIME"]).mkdir(mode=0o700)
        studio = Studio(OUT)
        from studiotimer.window.main import MainWindow
        from tests.kept import save_memory
        from tests.settings_pictures import LEARNED

        window = MainWindow()
        window.show()
        set_picture(studio, window)
        window.close()
        life_picture()
        window = MainWindow()
        window.show()
        page_pictures(studio, window)
        window.close()
        save_memory(LEARNED)
        window = MainWindow()
        window.show()
        settings_pictures(studio, window)
        window.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
