"""The Prep page: the plan on one side, what follows from it live on the other."""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Callable
from functools import partial
from itertools import pairwise
from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QApplication, QStackedWidget, QVBoxLayout, QWidget

from studiotimer import units
from studiotimer.errors import FaultError, SlowError, WorkError
from studiotimer.places import where_kept
from studiotimer.prep.draft import Values, Worked, draft_of, new_draft, put, units_of, work_out
from studiotimer.prep.loading import load_plan
from studiotimer.prep.plan import Plan, PlanError, today
from studiotimer.prep.results import Results
from studiotimer.prep.whatif import Curve
from studiotimer.window import theme
from studiotimer.window.aside import Aside, answered
from studiotimer.window.faults import FILE
from studiotimer.window.file_bar import FileBar
from studiotimer.window.flow import Scrolled
from studiotimer.window.prep import unsaved
from studiotimer.window.prep.explained import Explained
from studiotimer.window.prep.filing import Filing
from studiotimer.window.prep.inputs import Inputs
from studiotimer.window.prep.plan_head import Head
from studiotimer.window.prep.plan_preview import PlanPreview
from studiotimer.window.prep.prep_style import style
from studiotimer.window.prep.results_view import ResultsView
from studiotimer.window.prep.sides import Sides
from studiotimer.window.prep.what_if import WhatIf
from studiotimer.window.prep.written_fields import first_editor
from studiotimer.window.style import label, restyle
from studiotimer.window.tab_order import in_order
from studiotimer.window.theme import DARK, LIGHT, Theme
from studiotimer.window.typed_lines import TypedDate

PAUSE_MS, HUSH_MS = 250, 6000
FAILED = "This could not be worked out. Details are in {file}."
LOW = 560
"""Below this height, in logical pixels, the head scrolls with the rest."""


class PrepPage(Filing):
    """Plans a shoot. `running` tells whether a session runs, over which no dialog may open."""

    begun = Signal(object)
    units_chosen = Signal(str)
    worked = Signal()

    def __init__(self, unit_style: units.Style, running: Callable[[], bool], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Prep page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.style_of_units: units.Style = unit_style
        self.path: Path | None = None
        self.results: Results | None = None
        self.draft: Values = {}
        self._good: Values = {}
        self._number = 0
        self._warned = -1
        self._running = running
        self._wrong = ""
        """The first thing wrong with the plan: while there is one, nothing is made of it."""
        self._saved: Values = {}
        self._saved_at: dt.datetime | None = None
        self._then: Callable[[Results], None] | None = None
        self._colours = LIGHT
        self.setStyleSheet(style(LIGHT))
        self._aside = Aside("prep", self)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(PAUSE_MS)
        self._pause.timeout.connect(self._ask)
        self._hush = QTimer(self)
        self._hush.setSingleShot(True)
        self._hush.setInterval(HUSH_MS)
        self._hush.timeout.connect(lambda: self.say(""))
        self._build()
        self.show_draft(new_draft(today(), unit_style), new=True)

    def _build(self) -> None:
        self.head = Head(self.style_of_units)
        self.head.open_wanted.connect(self.open)
        self.head.save_wanted.connect(self.save)
        self.head.begin_wanted.connect(lambda: self.when_worked_out(lambda results: self.begun.emit(results.plan)))
        self.head.print_wanted.connect(self.preview_sheet)
        self.head.units_chosen.connect(self.choose_units)
        self.head.side_wanted.connect(self.other_side)
        self.message = label("", "warning", "message")
        self.message.hide()
        self._build_results()
        self._lay_out()
        self._give_keys()

    def _build_results(self) -> None:
        self.bar = FileBar(lambda: not self._running())
        self.what_if = WhatIf(self._colours)
        self.what_if.wanted.connect(self._what_if)
        self.view = ResultsView(self.what_if, self._colours)
        self.view.shot_chosen.connect(lambda number: self.inputs.choose_shot(number))
        self.view.checklist_edited.connect(self._checklist)
        self.view.messages.copied.connect(lambda words: self.say(words, well=True))
        self.view.messages.save_wanted.connect(self.save_message)
        self.sides = Sides()
        self.sides.results.setWidget(self.view)
        self.sides.turned.connect(self.head.show_side)
        self.preview = PlanPreview()
        self.preview.stand_in_for(self.head.begin)
        self.preview.left.connect(self.leave_preview)
        self.preview.pdf_wanted.connect(self.save_pdf)
        self.preview.files_wanted.connect(self.write_files)
        self.preview.said.connect(self.say)

    def _lay_out(self) -> None:
        self.stack = QStackedWidget()
        inside = QWidget()
        self._inside = QVBoxLayout(inside)
        self._inside.setContentsMargins(0, 0, theme.MARGIN - theme.BAR, theme.BELOW)
        self._inside.addWidget(self.sides)
        self._inside.addStretch(1)
        self.area = Scrolled(inside, "plan and results")
        self.stack.addWidget(self.area)
        self.stack.addWidget(self.preview)
        self.explained = Explained(self)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(theme.MARGIN, theme.ABOVE, 0, theme.GAP)
        self._column.setSpacing(theme.GAP)
        self._above, below = QVBoxLayout(), QVBoxLayout()
        for part in (self.head, self.message, self.bar):
            self._above.addWidget(part)
        below.addWidget(self.explained)
        for each in (self._above, below):
            each.setContentsMargins(0, 0, theme.MARGIN, 0)
            each.setSpacing(theme.GAP)
        self._column.addLayout(self._above)
        self._column.addWidget(self.stack, 1)
        self._column.addLayout(below)

    def _give_keys(self) -> None:
        for keys, deed in (
            ("Ctrl+N", self.begin_anew), ("Ctrl+O", self.open), ("Ctrl+S", self.save),
            ("Ctrl+P", self.preview_sheet), ("F6", self.other_side),
            ("Ctrl+Return", lambda: self.inputs.add_here()), ("Ctrl+Shift+Delete", lambda: self.inputs.remove_here()),
        ):  # fmt: skip
            shortcut = QShortcut(QKeySequence(keys), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(deed)

    def show_draft(
        self, draft: Values, path: Path | None = None, new: bool = False, good: Values | None = None
    ) -> None:
        """Show a draft from its first field on. `new`: nobody wrote it yet.

        `good` is the last one of which every value could be used, the draft itself when it is None.
        """
        self._new, self._taken_up = new, False
        here = QApplication.focusWidget()
        heard = here is not None and self.isAncestorOf(here)
        self.draft, self.path, self.results = draft, path, None
        self._good, self._saved, self._saved_at = copy.deepcopy(good or draft), copy.deepcopy(draft), None
        self.inputs = Inputs(self.draft, self._good, fresh=new)
        self.inputs.edited.connect(self._edited)
        self.inputs.changed_shape.connect(self._edited)
        self.inputs.shot_chosen.connect(self._shot_chosen)
        self.inputs.file_wanted.connect(self._mix_file)
        self.inputs.rebuilt.connect(self._order_tabs)
        self.sides.plan.setWidget(self.inputs)
        self.leave_preview()
        self.bar.hide()
        self._order_tabs()
        if heard:
            self.focus_plan()
        self._edited()
        self._pause.start(0)

    def take_up_unsaved(self) -> None:
        """Show the plan that was not saved when the window closed last, where nobody wrote one since."""
        if not self._new or self.changed or (found := unsaved.kept()) is None:
            return
        self.show_draft(found.draft, found.path, good=found.good)
        self._saved, self._taken_up = {}, True
        self.say("This is the plan that was not saved when the window closed. Ctrl+N begins another.", well=True)

    def open_plan(self, path: Path) -> str | None:
        """Open a plan file, shown in its own units where no session is; return what was wrong, None when it is open."""
        try:
            draft = draft_of(answered("opening the plan", lambda: load_plan(path)))
        except (PlanError, SlowError) as error:
            self.say(f"{error}.")
            return str(error)
        self.show_draft(draft, path)
        self.kept.emit(path)
        if (own := units_of(draft)) not in (None, self.style_of_units) and not self._running():
            self.choose_units(own)
        self.say(f"{path.name} is open.", well=True)
        return None

    def show_plan(self, plan: Plan) -> None:
        """Show the plan of a session, which has no file of its own."""
        self.show_draft(draft_of(plan))

    def set_theme(self, colours: Theme) -> None:
        """Show the page light by day, dark while a session runs."""
        self._colours = colours
        self.setStyleSheet(style(colours))
        self.view.set_theme(colours)
        self.what_if.set_theme(colours)

    def darken(self, dark: bool) -> None:
        """Be dark, or light."""
        if (self._colours is DARK) != dark:
            self.set_theme(DARK if dark else LIGHT)

    def say(self, words: str, well: bool = False) -> None:
        """Show a line until the next one, quietly when it says that all went well."""
        self.message.setText(words)
        restyle(self.message, "role", "quiet" if well else "warning")
        self.message.setVisible(bool(words))
        self._hush.start() if well else self._hush.stop()

    def when_worked_out(self, deed: Callable[[Results], None]) -> None:
        """Do `deed` with the results of the plan as it is, as soon as they are there."""
        self._then = deed
        if isinstance(focus := QApplication.focusWidget(), TypedDate):
            focus.settle()
        if self.results is not None:
            self._go_on(self.results)
        elif self._pause.isActive():
            self._pause.start(0)

    def choose_units(self, chosen: units.Style) -> None:
        """Show the plan and its results in these units; what is kept of it stays as it was written."""
        self.style_of_units = chosen
        self.head.units.show_style(chosen)
        self.units_chosen.emit(chosen)
        self.inputs.show_draft()
        self._edited()

    @property
    def changed(self) -> bool:
        """Whether the plan has changes that are not saved."""
        return self.draft != self._saved

    def may_leave(self) -> bool:
        """Whether the plan may be left: with changes that are not saved, this is said once and then done."""
        if not self.changed or self._warned == self._number:
            return True
        self._warned = self._number
        self.say("The plan is not saved. Ctrl+S saves it; the same once more leaves it as it is.")
        return False

    def begin_anew(self) -> None:
        """Begin a new plan."""
        if self.may_leave():
            unsaved.forget(self._taken_up)
            self.show_draft(new_draft(today(), self.style_of_units), new=True)

    def preview_sheet(self) -> None:
        """Show the sheet as it will be printed."""
        self.when_worked_out(self._preview)

    def leave_preview(self) -> None:
        """Go back to the plan."""
        if self.stack.currentIndex():
            self.stack.setCurrentIndex(0)
            self.head.print.setFocus()

    def other_side(self) -> None:
        """Take the keys from the plan to its results, or back."""
        here = QApplication.focusWidget()
        if self.sides.second if self.sides.narrow else here is not None and self.view.isAncestorOf(here):
            self.focus_plan()
        elif self.view.figures.cells:
            self.sides.want(second=True)
            self.view.figures.cells[0].setFocus()

    def focus_plan(self) -> None:
        """Give the keys to the plan's first field."""
        self.sides.want(second=False)
        first = first_editor(self.inputs)
        if first is not None:
            first.setFocus(Qt.FocusReason.TabFocusReason)

    def end(self) -> None:
        """Stop working things out; a plan that is not saved is kept for the next time."""
        if self.changed:
            unsaved.keep(unsaved.Unsaved(self.draft, self._good, self.path))
        self._pause.stop()
        self._aside.end()
        self.view.end()
        self.preview.end()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        low = self.height() < LOW
        if low != (self._above.indexOf(self.head) < 0):
            focus = QApplication.focusWidget()
            (self._inside if low else self._above).insertWidget(0, self.head)
            if focus is not None and self.head.isAncestorOf(focus):
                focus.setFocus()

    def _order_tabs(self) -> None:
        """Let Tab go through the page as it is read."""
        for one, other in pairwise([*in_order(self.head), *in_order(self.inputs), *in_order(self.view)]):
            QWidget.setTabOrder(one, other)

    def _edited(self) -> None:
        self._number += 1
        self.results = None
        self.head.show_plan(self.draft, self.path, self.changed, self._saved_at)
        self.head.working(True)
        self._pause.start()

    def _ask(self) -> None:
        draft, good = copy.deepcopy(self.draft), copy.deepcopy(self._good)
        work = partial(work_out, draft, good, self.style_of_units, dt.datetime.now(), self._number)
        self._aside.ask("results", work, self._show, self._failed)

    def _what_if(self, kind: str, work: Callable[[], tuple[int, Curve]]) -> None:
        self._aside.ask(kind, work, partial(self.what_if.show_curve, kind), self._failed)

    def _failed(self, error: WorkError) -> None:
        fault = isinstance(error, FaultError)
        self.say(FAILED.format(file=where_kept()[2] / FILE) if fault else f"{error}.")

    def _show(self, worked: Worked) -> None:
        if worked.number != self._number:
            return
        self._good.clear()
        self._good.update(worked.good)
        self._wrong = worked.wrong[0].sentence if worked.wrong else ""
        self.results = worked.results
        self.head.working(False)
        self.inputs.say_wrong(worked.wrong, worked.past)
        self.explained.tell_again()
        notices = [*(each.sentence for each in worked.wrong), *worked.results.warnings]
        self.view.show_results(worked.results, self.inputs.shot, notices)
        self.what_if.show_plan(worked.results.plan, self.inputs.shot, self.style_of_units)
        self._go_on(worked.results)
        self.worked.emit()

    def _go_on(self, results: Results) -> None:
        deed, self._then = self._then, None
        if deed is not None and self._wrong:
            self.say(f"First mend what cannot be used: {self._wrong}")
        elif deed is not None:
            deed(results)

    def _shot_chosen(self, number: int) -> None:
        if self.results is not None:
            self.view.work.choose(number)
            self.what_if.show_plan(self.results.plan, number, self.style_of_units)

    def _checklist(self, lists: dict[str, list[str]] | None) -> None:
        put(self.draft, ("checklist",), lists)
        self._edited()

    def _preview(self, results: Results) -> None:
        self.stack.setCurrentWidget(self.preview)
        self.preview.show_results(results)
