"""A whole plan written from an empty one with real keys and clicks: `python -m tests.new_plan OUT [PLAN.json]`.

It opens the window on a virtual screen, writes every value of a plan (the third demo's unless another is given) as
a person would, with xdotool, counts the key strokes and the clicks that are not the text itself, keeps a picture of
each step in OUT, then has all files written and reads sheet and messages. It ends with 1 when there were too many, the
plan is not the one that was wanted, or something is missing on paper or in a message.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

from tests.new_plan_read import read_all
from tests.pictures import Studio, home, with_screen

MOST_KEYS, MOST_CLICKS = 160, 40
MOST_TABS = 3
PATIENCE_S = 60.0
SIZE = (1366, 768)
PLAN = "three_gallon"
UNIT = {"°F", "°C", "%"}
"""Units that are left out, since a bare number means the one that is shown."""


class Typist:
    """A person at the keyboard, with a mouse; strokes and clicks are counted, what is written is not."""

    def __init__(self, studio: Studio, page) -> None:
        self.studio, self.page = studio, page
        self.keys = self.clicks = self.letters = self.wheel = 0

    def key(self, *names: str) -> None:
        """Press keys, or keys with Ctrl and Shift held."""
        for name in names:
            self._do("key", name)
            self.keys += 1

    def text(self, words: str) -> None:
        """Write words over what is selected."""
        self._do("type", "--delay", "4", words)
        self.letters += len(words)

    def click(self, widget) -> None:
        """Click on the middle of a widget, turning the wheel until it is in view; again where it was not under it."""
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            at = None
            while at != (at := self._resting(widget)):
                self.studio.settle(0.15)
            self._do("mousemove", str(at.x()), str(at.y()))
            if self._under(at, widget):
                self._do("click", "1")
                self.clicks += 1
                return
        raise SystemExit(f"{widget.accessibleName()} is not where it is drawn")

    def _under(self, at, widget) -> bool:
        """Whether a click would reach a widget: on a busy machine a section may unfold after it was asked for."""
        self.studio.settle(0.1)
        under = self.studio.app.widgetAt(at)
        return under is not None and (under is widget or widget.isAncestorOf(under))

    def _resting(self, widget):
        """Return where a widget is, in view: a section that was just unfolded may yet move it."""
        self._into_view(widget)
        return widget.mapToGlobal(widget.rect().center())

    def go(self, widget) -> None:
        """Give the keys to a widget: with Tab where it is near, else with a click."""
        self.see(lambda: self.here is not None, "nothing has the keys")
        self.studio.settle(0.1)
        steps = self._tabs(widget)
        if os.environ.get("TRACE"):
            print(self.here.accessibleName(), "->", widget.accessibleName(), steps)
        if steps is None:
            self.click(widget)
        else:
            self.key(*steps)
        self.see(lambda: self.here is widget, f"{widget.accessibleName()} does not get the keys")

    def see(self, test: Callable[[], bool], otherwise: str) -> None:
        """Wait until something is so."""
        end = time.monotonic() + PATIENCE_S
        while not test():
            if time.monotonic() > end:
                raise SystemExit(f"{otherwise}; {self.here and self.here.accessibleName()} has them")
            self.studio.settle(0.02)
        self.studio.settle(0.05)

    @property
    def here(self):
        """What has the keys."""
        return self.studio.app.focusWidget()

    def _tabs(self, widget) -> list[str] | None:
        for name, along in (("Tab", "nextInFocusChain"), ("shift+Tab", "previousInFocusChain")):
            at, count = self.here, 0
            while at is not None and at is not widget and count < MOST_TABS:
                at = getattr(at, along)()
                while at is not self.here and not (at.focusPolicy().value & 1 and at.isVisible() and at.isEnabled()):
                    at = getattr(at, along)()
                count += 1
            if at is widget:
                return [name] * count
        return None

    def _into_view(self, widget) -> None:
        area = self.page.area
        if not area.isAncestorOf(widget):
            return
        for _ in range(400):
            top = widget.mapTo(area.viewport(), widget.rect().topLeft()).y()
            if 0 <= top <= area.viewport().height() - widget.height():
                return
            middle = area.mapToGlobal(area.rect().center())
            turn = "4" if top < 0 else "5"
            self._do("mousemove", str(middle.x() + 250), str(middle.y()), "click", turn)
            self.wheel += 1
        raise SystemExit(f"{widget.accessibleName()} never comes into view")

    def _do(self, *arguments: str) -> None:
        subprocess.run(["xdotool", *arguments], check=True, timeout=60)
        self.studio.settle(0.06)


class Writer:
    """Writes a plan's values into the page, section by section, only where they differ from what stands there."""

    def __init__(self, typist: Typist, wanted: dict) -> None:
        self.typist, self.page, self.wanted = typist, typist.page, wanted

    def write(self) -> Iterator[str]:
        """Write everything; yield the name of each step when it is done."""
        inputs = self.page.inputs
        yield "empty"
        for name in list(inputs.sections):
            if name == "Flavours":
                self._flavours()
            elif name == "Shots":
                yield from self._shots()
            elif name == "People and place":
                self._people()
            else:
                self._fields(field for form in inputs.made(name) for field in list(form.all_fields()))
            yield name.lower().replace(" ", "-")

    def _fields(self, fields) -> None:
        for field in fields:
            self._field(field)

    def _field(self, field) -> None:
        from studiotimer.prep.draft import value_at

        path = field.ask.path
        now, wanted = value_at(self.page.draft, path), value_at(self.wanted, path)
        if wanted is None and now is not None and field.ask.empty == "":
            return
        if not field.isEnabled() or same(path, now, wanted):
            return
        self._open(field)
        self.typist.go(field.editor)
        self._answer(field, wanted)
        written = lambda: same(path, value_at(self.page.draft, path), wanted)  # noqa: E731
        self.typist.see(written, f"{path} should be {wanted!r} and is {value_at(self.page.draft, path)!r}")

    def _open(self, field) -> None:
        inputs = self.page.inputs
        fold = next(each for each in inputs.sections.values() if each.isAncestorOf(field))
        if not fold.unfolded:
            self.typist.click(fold.heading)

    def _answer(self, field, wanted) -> None:
        from studiotimer.window.choice import Choice

        editor = field.editor
        if field.ask.kind == "tick":
            self.typist.key("space")
        elif isinstance(editor, Choice):
            place = editor.findData(wanted)
            self.typist.text(editor.itemText(place).partition(" ")[0].strip(":").lower())
            self.typist.studio.settle(0.1)
            while editor.currentData() != wanted:
                self.typist.key("Down" if editor.currentIndex() < place else "Up")
        elif wanted in (None, ""):
            self.typist.key("Delete")
        else:
            number, _, unit = str(wanted).rpartition(" ")
            self.typist.text(number if unit in UNIT else str(wanted))

    def _rows(self, rows, path) -> None:
        """Bring a list to the wanted length from its last row, then write each row."""
        from studiotimer.prep.draft import value_at

        count = len(value_at(self.wanted, path) or ())
        number = 0
        while number < count:
            there = rows()
            if number >= len(there.items):
                last = there.fields and [field for at, field in there.fields.items() if at[len(path)] == number - 1]
                if last:
                    if not there.isAncestorOf(self.typist.here):
                        self.typist.go(last[-1].editor)
                    self.typist.key("Return")
                else:
                    self._open(there.more)
                    self.typist.click(there.more)
                self.typist.see(lambda: rows() is not there, f"no row is added to {path}")  # noqa: B023
                there = rows()
            self._fields(field for at, field in list(there.fields.items()) if at[len(path)] == number)
            number += 1
        while len(rows().items) > count:
            self.typist.go(next(field for at, field in rows().fields.items() if at[len(path)] == count).editor)
            self.typist.key("ctrl+shift+Delete")

    def _flavours(self) -> None:
        inputs = self.page.inputs
        for number in range(len(self.wanted["flavours"])):
            if number:
                self.typist.key("Return")
                self.typist.see(lambda: len(inputs.flavours.forms) > number, "no flavour is added")  # noqa: B023
            self._fields(list(inputs.flavours.forms[number].all_fields()))

    def _people(self) -> None:
        inputs = self.page.inputs
        self._rows(lambda: inputs.made("People and place")[0], ("people",))
        place = inputs.made("People and place")[1]
        self._fields(list(place.all_fields()))

    def _shots(self) -> Iterator[str]:
        inputs = self.page.inputs
        for number in range(len(self.wanted["shots"])):
            if number:
                self.typist.key("ctrl+Return")
                self.typist.see(lambda: len(inputs.shots.names) > number, "no shot is added")  # noqa: B023
            shots = inputs.shots
            self._fields(list(shots.form.all_fields()))
            self._rows(lambda: inputs.shots.heroes, ("shots", number, "heroes"))
            self._fields(list(inputs.shots.looks.all_fields()))
            self._rows(lambda: inputs.shots.steps, ("shots", number, "steps"))
            self._fields(list(inputs.shots.frames.all_fields()))
            yield f"shot-{number + 1}"


def same(path, one, other) -> bool:
    """Return whether two values of a draft mean the same."""
    from studiotimer import units
    from studiotimer.prep.draft import quantity_at
    from studiotimer.prep.plan import Tub
    from studiotimer.prep.tubs import size_of

    quantity = quantity_at(path)
    if quantity is not None and isinstance(one, str) and isinstance(other, str):
        with suppress(units.UnitError):
            return abs(units.parse(one, quantity) - units.parse(other, quantity)) < 1e-9
    if path[-1] == "size" and one and other:
        return size_of(Tub(size=one)).name == size_of(Tub(size=other)).name
    return (one or None) == (other or None)


def write_plan(out: Path, wanted_file: Path) -> int:
    """Write the plan into an empty window; return the exit status."""
    studio = Studio(out)
    from studiotimer.prep.draft import draft_of, file_values
    from studiotimer.prep.loading import load_plan
    from studiotimer.prep.plan import parse_plan, save_plan
    from studiotimer.window.main import MainWindow
    from tests.prep_pictures import worked

    wanted = load_plan(wanted_file)
    window = MainWindow()
    window.resize(*SIZE)
    window.show()
    window.activateWindow()
    window.nav.plan()
    page = window.nav.prep
    worked(studio, page)
    typist = Typist(studio, page)
    typist.click(page.head.units.parts["US"])
    page.focus_plan()
    for number, step in enumerate(Writer(typist, draft_of(wanted)).write()):
        worked(studio, page)
        window.grab().save(str(out / f"{number:02d}-{step}.png"))
        print(f"{step}: {typist.keys} key strokes, {typist.clicks} clicks, {typist.letters} letters", flush=True)
    written = parse_plan(file_values(page.draft))
    save_plan(written, out / "plan.json")
    print(f"{typist.keys} key strokes of {MOST_KEYS} and {typist.clicks} clicks of {MOST_CLICKS}, "
          f"beyond {typist.letters} letters of text and {typist.wheel} turns of the wheel", flush=True)  # fmt: skip
    too_many = typist.keys > MOST_KEYS or typist.clicks > MOST_CLICKS
    missing = list(read_all(typist, window, written, out))
    for words in missing:
        print(words)
    page._saved = page.draft
    window.close()
    different = [name for name in type(wanted).model_fields if getattr(wanted, name) != getattr(written, name)]
    if different:
        print(f"not as wanted: {', '.join(different)}")
    return int(bool(different or missing or too_many))


def main(argv: list[str]) -> int:
    """Run on a virtual screen of its own where there is none."""
    status = with_screen(argv, "tests.new_plan")
    if status is not None:
        return status
    from studiotimer.places import demo_sessions

    out = Path(argv[0])
    out.mkdir(parents=True, exist_ok=True)
    wanted = Path(argv[1]) if len(argv) > 1 else demo_sessions() / PLAN / "plan.json"
    with tempfile.TemporaryDirectory() as folder, home(folder):
        return write_plan(out, wanted)


if __name__ == "__main__":
    status = main(sys.argv[1:])
    sys.stdout.flush()
    os._exit(status)
