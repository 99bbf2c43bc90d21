"""The steps of one shot's dressing: what is done, by whom, for how long, and how warm a sauce is poured."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QPushButton

from studiotimer.prep.draft import Path, Values, value_at
from studiotimer.window.prep.fields import Ask
from studiotimer.window.prep.parts import Form
from studiotimer.window.style import button

WHAT_WIDTH, SHORT_WIDTH, SHARE = 64, 46, 60


class Steps(Form):
    """The steps, each on two rows: what and who, then its seconds and a sauce's temperature."""

    changed_shape = Signal()

    def __init__(self, draft: Values, shot: int) -> None:
        super().__init__(draft)
        self._path: Path = ("shots", shot, "steps")
        self.removes: list[QPushButton] = []
        for number in range(len(value_at(draft, self._path) or ())):
            self._add_step(number)
        self.more = button("Add a step of dressing", self.more_steps, "link")
        self.column.addWidget(self.more, 0, Qt.AlignmentFlag.AlignLeft)

    def focus_last(self) -> None:
        """Give the keys to the last step, or to the button where there is none."""
        whats = [field.editor for path, field in self.fields.items() if path[-1] == "what"]
        (whats[-1] if whats else self.more).setFocus()

    def more_steps(self) -> None:
        """Add a step, to be named."""
        steps = self.draft["shots"][self._path[1]].setdefault("steps", [])
        steps.append({"what": f"step {len(steps) + 1}", "seconds": "10 s"})
        self.changed_shape.emit()

    def remove(self, number: int) -> None:
        """Take a step out."""
        value_at(self.draft, self._path).pop(number)
        self.changed_shape.emit()

    def _add_step(self, number: int) -> None:
        self.about = f"step {number + 1}, "
        where = (*self._path, number)
        self.add(Ask(("what",), f"Step {number + 1}", "caramel, sprinkles").at(*where)).words.setFixedWidth(WHAT_WIDTH)
        who = self.add(Ask(("who",), "Who", "who does it: stylist", beside=True).at(*where), share=SHARE)
        remove = button("×", partial(self.remove, number), "link", f"take step {number + 1} out")
        self.removes.append(remove)
        assert self._row is not None
        self._row.addWidget(remove)
        takes = self.add(Ask(("seconds",), "Takes", "10 s").at(*where))
        takes.words.setFixedWidth(WHAT_WIDTH)
        warm = Ask(("temperature",), "Sauce at", "30 °C; empty: no sauce", empty="no sauce", beside=True)
        for field in (who, self.add(warm.at(*where), share=SHARE)):
            field.words.setFixedWidth(SHORT_WIDTH + 10)
