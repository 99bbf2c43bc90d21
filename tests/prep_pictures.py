"""Pictures of the Prep page: a new plan, both demos, bad fields, what was unfolded, what if, the sheet."""

from __future__ import annotations

from studiotimer.places import demo_sessions
from studiotimer.session.rehearsal import RehearsalAsked

BOTH = ("1280x800", "1920x1080")
ALL = ("1024x640", *BOTH)


def prep_page(studio) -> None:
    """The Prep page, light; and dark beside a running session."""
    from studiotimer.window.main import MainWindow

    window = MainWindow()
    window.show()
    window.activateWindow()
    window.nav.plan()
    page = window.nav.prep
    worked(studio, page)
    studio.shoot(window, "prep-new", ALL)
    for name in ("calm_led", "hot_tungsten"):
        page.open_plan(demo_sessions() / name / "plan.json")
        worked(studio, page)
        studio.shoot(window, f"prep-{name.replace('_', '-')}", ALL)
    page.view.figures.cells[0].click()
    studio.shoot(window, "prep-how", BOTH)
    page.view.figures.cells[0].click()
    write(page, ("room", "air"), "23 X")
    write(page, ("shots", 0, "light"), "moonlight")
    write(page, ("shots", 0, "dressing"), "soon")
    write(page, ("flavours", 1, "name"), "brown butter")
    worked(studio, page)
    studio.shoot(window, "prep-bad-fields", ALL)
    page.area.verticalScrollBar().setValue(page.inputs.shots.parentWidget().y() + 240)
    studio.shoot(window, "prep-bad-shot", ("1280x800",))
    page.open_plan(demo_sessions() / "hot_tungsten" / "plan.json")
    write(page, ("room", "air"), "34 °C")
    write(page, ("shots", 0, "light"), "tungsten 30000 lx")
    write(page, ("shots", 0, "frames"), "60")
    write(page, ("dry_ice", "target_air"), "")
    worked(studio, page)
    page.view.work.link.click()
    studio.settle()
    page.area.verticalScrollBar().setValue(page.view.work.y() - 10)
    studio.shoot(window, "prep-cannot-work", ALL)
    page.view.work.link.click()
    page.open_plan(demo_sessions() / "hot_tungsten" / "plan.json")
    worked(studio, page)
    page.view.what_if.unfold(True)
    page.what_if.sliders["room_c"].setValue(32)
    page.what_if.sliders["dry_ice_air_c"].setValue(0)
    studio.settle(1.0)
    page.area.verticalScrollBar().setValue(page.view.what_if.y() - 10)
    studio.shoot(window, "prep-what-if", ALL)
    page.inputs.choose_shot(1)
    studio.settle(1.0)
    studio.shoot(window, "prep-what-if-melt", ("1280x800",))
    for part, name in ((page.view.run_sheet, "run-sheet"), (page.view.checklist, "checklist")):
        page.area.verticalScrollBar().setValue(part.parentWidget().y() - 10)
        studio.shoot(window, f"prep-{name}", ALL)
    page.area.verticalScrollBar().setValue(99999)
    studio.shoot(window, "prep-inputs-end", ALL)
    page.head.units.parts["US"].click()
    worked(studio, page)
    page.preview_sheet()
    studio.shoot(window, "prep-preview", ALL)
    page.preview.which.setCurrentIndex(1)
    studio.shoot(window, "prep-flags", BOTH)
    page.preview.which.setCurrentIndex(0)
    page.save_pdf()
    studio.shoot(window, "prep-file-line", ("1280x800", "1024x640"))
    page.bar.close_bar()
    page.leave_preview()
    page.head.units.parts["metric"].click()
    window.rehearse(demo_sessions() / "hot_tungsten" / "hot_tungsten.setlog", RehearsalAsked(20.0))
    studio.settle(1.5)
    studio.shoot(window, "prep-nav-set", ("1024x640", "1280x800"))
    page._saved = page.draft
    window.nav.go("prep")
    worked(studio, page)
    studio.shoot(window, "prep-dark", BOTH)
    window.close()


def write(page, path, text: str) -> None:
    """Write into a field as a person would."""
    field = page.inputs.field_for(path)
    field.editor.setText(text)
    field.editor.textEdited.emit(text)


def worked(studio, page) -> None:
    """Wait until everything is worked out."""
    studio.wait(lambda: page.results is not None and not page._pause.isActive())
    studio.settle()
