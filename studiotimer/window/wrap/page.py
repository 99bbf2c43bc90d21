"""The Wrap page: what happened, the frames with their ages, selects, the report, and the next shoot's plan."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TypeVar

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QPushButton, QWidget

from studiotimer.errors import FaultError, SlowError, WorkError
from studiotimer.places import sessions_folder, where_kept
from studiotimer.prep.plan import save_plan, today
from studiotimer.session.first_lines import SessionFileError
from studiotimer.session.live import Session
from studiotimer.session.mending import Ledger
from studiotimer.thermal.charge import CAUTIONS_SHORT
from studiotimer.window import theme
from studiotimer.window.aside import answered, is_folder
from studiotimer.window.faults import FILE
from studiotimer.window.file_bar import FileBar
from studiotimer.window.flow import into_view, scrolling
from studiotimer.window.progress import Progress, Stoppable
from studiotimer.window.style import label, restyle, style
from studiotimer.window.theme import DARK, LIGHT, Theme
from studiotimer.window.wrap.best import BestAge
from studiotimer.window.wrap.frame_strip import FramesStrip
from studiotimer.window.wrap.given import NO_SESSION, Given
from studiotimer.window.wrap.nothing import Nothing
from studiotimer.window.wrap.report_preview import ReportPreview
from studiotimer.window.wrap.selecting import Selecting
from studiotimer.window.wrap.session_head import STRONG, Head
from studiotimer.window.wrap.session_parts import SessionParts
from studiotimer.window.wrap.tables_view import Tables
from studiotimer.window.wrap.timeline_view import TimelineView
from studiotimer.window.wrap.writing import NotWrittenError, whole_report, write_report
from studiotimer.wrap.aged import Aged
from studiotimer.wrap.frames import Progress as Go
from studiotimer.wrap.recorded import Recorded, load, zone_of
from studiotimer.wrap.side_by_side import Worked, of_folder
from studiotimer.wrap.work import Marked, Wrapped, marked, wrap_up

TABLES, SHOW_FRAMES = "Show tables", "Show frames"
FRAMES_DEEDS = ("Add frames…", "Match camera clock…", TABLES)
WITHOUT_SESSION = ("Compare sessions…",)
FAILED = "This could not be worked out. Details are in {file}."

T = TypeVar("T")


class WrapPage(QWidget):
    """Wraps one session. `plan_wanted` asks for a plan's file in Prep; `worked` says that the page shows it all."""

    plan_wanted = Signal(object)
    worked = Signal()

    def __init__(self, may_cover: Callable[[], bool], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Wrap page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.path: Path | None = None
        self.wrapped: Wrapped | None = None
        self._session: Recorded | None = None
        self._of_report = False
        self._match = 0  # of which frames are shown
        self._colours: Theme = DARK
        self.selecting = Selecting(self)
        self.selecting.stored.connect(lambda words: self.say(words) if words else None)
        self._build(may_cover)
        self._aside = Stoppable("wrap", self.progress, self)
        self.darken(False)
        self.head.title.setText("Wrap")
        self.parts.hide()
        self.head.offer(WITHOUT_SESSION)

    def _build(self, may_cover: Callable[[], bool]) -> None:
        self.bar = FileBar(may_cover)
        self.given = Given(self.bar, self._work, self.say)
        self.camera, self.give_frames, self.frames_given = self.given.camera, self.given.give, self.given.add
        self.head = Head(
            {
                "Open…": ("open a session", self.open),
                "Add frames…": (
                    "pictures of another card or a list: name, time; only read",
                    self.give_frames,
                ),
                "Match camera clock…": ("match it by an offset, a call or the crew screen", self.match_camera),
                "Plan the next shoot…": ("the next shoot's plan, with what was measured in this one", self.write_plan),
                "Print…": ("the report, on a printer or as PDF", self.preview_report),
                "Compare sessions…": ("working times over a folder of sessions", self.compare),
                STRONG: ("report.html, report.pdf, scoops.csv, frames.csv", self.write_report),
                TABLES: ("turn between the frames and the tables", self.turn),
            },
            FRAMES_DEEDS,
        )
        self.given.offer(*(self.head.buttons[one] for one in FRAMES_DEEDS))
        self.message = label("", "warning", "message")
        self.message.hide()
        self.timeline = TimelineView()
        self.timeline.chosen.connect(self._scoop_chosen)
        self.strip = FramesStrip()
        self.strip.marked.connect(self.mark)
        self.best = BestAge()
        self.best.marked.connect(self._mark_named)
        self.tables = Tables()
        self.progress = Progress()
        self.parts = SessionParts(self.timeline, self.best, self.given, self.strip, self.tables)
        self._build_preview()
        self.nothing = Nothing()
        self.nothing.opened.connect(self.open)
        self.nothing.demo.connect(self._demo)
        self.nothing.refused.connect(self.say)
        column = scrolling(self, "what happened")
        column.setContentsMargins(theme.MARGIN, theme.ABOVE, theme.MARGIN - theme.BAR, theme.BELOW)
        column.setSpacing(theme.GAP)
        for part in (self.head, self.message, self.bar, self.camera, self.progress):
            column.addWidget(part)
        column.addWidget(self.parts, 1)
        column.addWidget(self.preview, 1)
        column.addWidget(self.nothing, 1)
        self.caution = label(f"▲  Dry ice: {CAUTIONS_SHORT}. In full under Show tables.", "warning", "dry ice")
        self.caution.hide()
        column.addWidget(self.caution)

    def _build_preview(self) -> None:
        self.preview = ReportPreview(self.parts, self.bar)
        self.preview.said.connect(self.say)
        self.preview.stand_in_for(self.head.buttons[STRONG])
        self.preview.left.connect(self.head.buttons["Print…"].setFocus)

    @property
    def tables_button(self) -> QPushButton:
        """The button that turns between frames and tables."""
        return self.head.buttons[TABLES]

    def darken(self, dark: bool) -> None:
        """Show the page dark while a session runs, light otherwise."""
        colours = DARK if dark else LIGHT
        if colours is self._colours:
            return
        self._colours = colours
        self.setStyleSheet(style(self._colours))
        self.timeline.set_colours(self._colours)
        self.strip.colours = self._colours
        self.best.set_colours(self._colours)
        self.tables.set_colours(self._colours)

    def take_focus(self) -> None:
        """Take the keys: the frames have them where there are any."""
        first = self.head.buttons["Add frames…"] if self._session else self.nothing.open
        (self.strip if self.strip.frames.rowCount() > 0 else first).setFocus()

    def say(self, words: str, well: bool = False) -> None:
        """Show a line, quietly when it says that all went well."""
        self._of_report = False
        self.message.setText(words)
        restyle(self.message, "role", "quiet" if well else "warning")
        self.message.setVisible(bool(words))
        if words:
            into_view(self.message)

    def show_session(self, session: Session) -> None:
        """Show the session that is open in the window, as it stands now."""
        plan, entries = session.plan, tuple(session.ledger.entries)
        if (
            self._session is not None
            and self.path == session.path
            and len(self._session.ledger.entries) == len(entries)
        ):
            return
        self._take(session.path, Recorded(session.path.stem, plan, Ledger.of(entries), (), zone_of(plan)))

    def open_session(self, path: Path) -> str | None:
        """Show the session at `path`; return what was wrong, if anything was."""
        try:
            self._take(path, answered("opening the session", lambda: load(path)))
        except (SessionFileError, SlowError) as error:
            self.say(f"{error}.")
            return str(error)
        return None

    def _demo(self, path: Path, frames: Path) -> None:
        """Show a demo's copy with its frames."""
        if self.open_session(path) is None:
            self.frames_given(frames)
            self.take_focus()

    def _take(self, path: Path, session: Recorded) -> None:
        if path != self.path:
            self.wrapped = None
            self.bar.close_bar()
        self.path, self._session = path, session
        if self.wrapped is None:
            self.nothing.wait()
        self.selecting.take(path)
        self.given.take(path)
        self._work()

    def _work(self) -> None:
        """Work everything out anew, aside."""
        session, asked = self._session, self.given.asked
        if session is None:
            self.say(NO_SESSION)
            return
        if asked.zone is not None and asked.zone != session.zone:
            session = self._session = replace(session, zone=asked.zone)
        before, marks = (self.wrapped.review if self.wrapped is not None else None), self.selecting.marks
        self._ask("wrap", lambda go_on: wrap_up(session, asked, go_on, before, marks), self._wrapped_up)

    def _ask(self, kind: str, work: Callable[[Go], T], then: Callable[[T], None]) -> None:
        """Have something worked out aside that may take a while, shown with a way to stop it."""
        self._aside.begin(kind, work, partial(self._arrived, then), self._failed)

    def _failed(self, error: WorkError) -> None:
        self.nothing.offer()
        self.say(FAILED.format(file=where_kept()[2] / FILE) if isinstance(error, FaultError) else str(error))
        if isinstance(error, NotWrittenError):
            self._of_report = True
            if error.wrapped is self.wrapped:
                self._ask_for_report(error.folder)
        self.worked.emit()

    def _arrived(self, then: Callable[[T], None], found: T) -> None:
        then(found)
        self.worked.emit()

    def _wrapped_up(self, found: Wrapped) -> None:
        self._matched(found)
        if found.gaps or not self._of_report:
            self.say("; ".join(found.gaps[:2]) + ("; …" if len(found.gaps) > 2 else ""))

    def _marked(self, found: Marked) -> None:
        if self.wrapped is not None and found.match == self._match:
            self.wrapped = replace(self.wrapped, report=found.report, frames=found.frames)
            self._show(self.wrapped)

    def _written(self, folder: Path) -> None:
        self.say(f"Written to {folder}.", well=True)
        self._of_report = True

    def _compared(self, found: list[Worked]) -> None:
        self.tables.show_side_by_side(found)
        self._show_below(1)

    def _matched(self, found: Wrapped) -> None:
        """Show frames that were matched, with what was marked meanwhile."""
        frames = self.selecting.laid_over(found.frames)
        as_read = frames == found.frames
        self._match += 1
        self.wrapped = replace(found, frames=frames)
        self.strip.show_frames(frames)
        self.given.say_called(sum(one.length_s is None for one in frames))
        self._show(self.wrapped)
        if not as_read:
            self._report_marks(frames)

    def _show(self, wrapped: Wrapped) -> None:
        report = wrapped.report
        here = self.focusWidget()
        self.head.offer(self.head.buttons)
        if here is not None and self.nothing.isAncestorOf(here):
            self.take_focus()
            into_view(self.head)
        self.nothing.hide()
        self.preview.leave()
        self.caution.setVisible(bool(report.cautions))
        self.head.show_report(report)
        self.timeline.show_timeline(report.timeline, keep_view=True)
        self.best.show_frames(wrapped.frames, report.ages)
        self.tables.show_report(report)

    def open(self) -> None:
        """Ask for a session."""
        where = self.path or sessions_folder() / "shoot.setlog"
        self.bar.ask("open", "Session", "Open", where, self.open_session)

    def match_camera(self) -> None:
        """Ask how the camera's clock stands, by the frame that is chosen."""
        row = self.strip.currentIndex().row()
        self.given.match(self.strip.frames.frames[row].name if row >= 0 else "")

    def mark(self, row: int) -> None:
        """Turn the select of a frame, and keep the selects in a list beside the session."""
        if self.wrapped is None:
            return
        frames = self.strip.frames
        frames.put(row, self.selecting.turn(frames.frames[row], frames.frames))
        self._report_marks(tuple(frames.frames))

    def _mark_named(self, name: str) -> None:
        """Turn the select of the frame of that name."""
        row = next((row for row, one in enumerate(self.strip.frames.frames) if one.name == name), None)
        if row is not None:
            self.mark(row)

    def _report_marks(self, frames: tuple[Aged, ...]) -> None:
        """Have the report worked out with the marks that `frames` have."""
        assert self.wrapped is not None
        review, gaps, match = self.wrapped.review, self.wrapped.gaps, self._match
        then = partial(self._arrived, self._marked)
        self._aside.ask("marks", lambda: marked(review, frames, gaps, match), then, self._failed)

    def _scoop_chosen(self, number: int) -> None:
        """Go to the first frame of a scoop."""
        for row, frame in enumerate(self.strip.frames.frames):
            if any(one.passage.stay.scoop == number for one in frame.scoops):
                self._show_below(0)
                self.strip.go_to(row)
                return
        self.say(f"No frame shows scoop {number}.")

    def turn(self) -> None:
        """Turn between the frames and the tables."""
        self._show_below(1 - self.parts.part)

    def _show_below(self, place: int) -> None:
        self.parts.show_part(place)
        self.tables_button.setText(SHOW_FRAMES if place else TABLES)

    def write_report(self) -> None:
        """Ask where the report goes."""
        if self.wrapped is None or self.path is None:
            self.say(NO_SESSION)
            return
        self._ask_for_report(self.path.with_name(f"{self.path.stem}-wrap"))

    def _ask_for_report(self, proposed: Path) -> None:
        self.bar.ask("folder", "Report into", "Write", proposed, self.report_into)

    def report_into(self, folder: Path) -> None:
        """Write every file of the report into a folder, aside; what came of it is said."""
        wrapped = self.wrapped
        if wrapped is None:
            self.say(NO_SESSION)
            return
        self.say("")
        self._ask("report", lambda go_on: write_report(wrapped, folder, _next_date(), go_on), self._written)

    def preview_report(self) -> None:
        """Show the report as it will be printed, once its pictures are made."""
        wrapped, path = self.wrapped, self.path
        if wrapped is None or path is None:
            self.say(NO_SESSION)
            return
        then = partial(self.preview.show_report, path)
        self._ask("report", lambda go_on: whole_report(wrapped, _next_date(), go_on), then)

    def write_plan(self) -> None:
        """Ask where the next plan goes."""
        if self.wrapped is None or self.path is None:
            self.say(NO_SESSION)
            return
        at = self.path.with_name(f"{self.path.stem}-next.json")
        self.bar.ask("save", "The next shoot's plan", "Make it", at, self.plan_into)

    def plan_into(self, path: Path) -> str | None:
        """Write the next shoot's plan and ask for it in Prep; return what was wrong, if anything was."""
        assert self.wrapped is not None
        from studiotimer.wrap.carry import next_plan

        carried = next_plan(self.wrapped.review, _next_date())
        try:
            answered("writing the plan", lambda: save_plan(carried.plan, path))
        except OSError as error:
            words = f"{path} cannot be written: {error.strerror}"
            self.say(f"{words}.")
            return words
        self.say("".join(f"{words[:1].upper()}{words[1:]}. " for words in carried.short).strip())
        self.plan_wanted.emit(path)
        return None

    def compare(self) -> None:
        """Ask for a folder of sessions."""
        at = (self.path or sessions_folder() / "x").parent.parent
        self.bar.ask("folder", "Sessions below", "Compare", at, self.compare_in)

    def compare_in(self, folder: Path) -> str | None:
        """Show the working times of the sessions in a folder; return what was wrong, if anything was."""
        if not is_folder(folder):
            words = f"{folder} is not a folder"
            self.say(f"{words}.")
            return words
        self._ask("side by side", lambda go_on: of_folder(folder, go_on)[0], self._compared)
        return None

    def end(self) -> None:
        """Stop what works aside."""
        self._aside.end()
        self.preview.end()
        self.selecting.end()
        self.strip.end()
        self.best.strip.end()


def _next_date() -> dt.date:
    return today(ahead=7)
