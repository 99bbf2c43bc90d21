"""The main window: the start page until a session is open, then its pages; keys and focus are heard here."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QCloseEvent, QKeyEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QApplication, QMainWindow, QWidget

from studiotimer.errors import SlowError
from studiotimer.plain import plain
from studiotimer.session.first_lines import GoneOnError, SessionFileError
from studiotimer.session.memory import with_memory
from studiotimer.window import faults, shelf, theme
from studiotimer.window.aside import PATIENCE_S, answered
from studiotimer.window.demos import plan_copy, session_copy, with_copy
from studiotimer.window.first_picture import FirstPicture
from studiotimer.window.hearing import Hearing
from studiotimer.window.keys import WAY_OUT, Action
from studiotimer.window.loaded_ahead import LoadedAhead
from studiotimer.window.navigation import Navigation
from studiotimer.window.news_heard import NewsHeard
from studiotimer.window.places_kept import keep_place, put_in_place
from studiotimer.window.recent import remember_soon
from studiotimer.window.rehearsals import Rehearsals
from studiotimer.window.set.crew_place import CrewPlace
from studiotimer.window.settings.remembered import Remembered
from studiotimer.window.settings_shown import SettingsShown
from studiotimer.window.sounds import Sounds
from studiotimer.window.veil import DimVeil

if TYPE_CHECKING:
    from studiotimer.prep.plan import Plan
    from studiotimer.session.entries import Entry
    from studiotimer.session.live import Session
    from studiotimer.session.rehearsal import RehearsalAsked
    from studiotimer.window.running import Running
    from studiotimer.window.session_services import SessionServices
    from studiotimer.window.set.crew_screen import CrewScreen
    from studiotimer.window.set.guide import Guide
    from studiotimer.window.set.page import SetPage
    from studiotimer.window.set.playbar import PlayBar
    from studiotimer.window.start import StartPage

STAYS_OPEN = "Not everything of this session is on disk; it stays open until it is."
PLAN_SUFFIX = ".json"
CLOSE_AGAIN_MS = 250
SOUNDS_AFTER_MS = 1200
"""How long the sound library waits, which is slow to load, so that the window is there first."""
S = TypeVar("S", bound="Session")


class MainWindow(QMainWindow):
    """One window; at most one session is open in it."""

    fault = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setWindowTitle("Studiotimer")
        self.setMinimumSize(round(1024 / theme.zoom()), round(640 / theme.zoom()))
        self.setStyleSheet(theme.style(theme.DARK))
        self.kept = Remembered(self)
        self.sounds = Sounds(self.kept.settings)
        self.running: Running | None = None
        self.page: SetPage | None = None
        self.services: SessionServices | None = None
        self._guide: Guide | None = None
        self.play: PlayBar | None = None
        self._warned = False
        """Whether the crew knows that closing now loses what is not on disk."""
        self._first = FirstPicture(self)
        self._news = NewsHeard(self)
        self._news.came.connect(lambda: self.sounds.play("accepted"))
        self._news.stands.connect(self._stand)
        self.ahead = LoadedAhead(self)
        self.nav = Navigation(self._start_page, self.kept.keys, self)
        self.nav.begun.connect(self.begin)
        self.nav.closing.connect(self.finish)
        self.rehearsals = Rehearsals(self._opened, self._run, lambda: self.running, self.nav, self)
        self.settings_shown = SettingsShown(self.kept, self.sounds, self.nav)
        self.setCentralWidget(self.nav.frame)
        self.pages = self.nav.pages
        self._veil = DimVeil(self)
        self.fault.connect(self.say)
        faults.catch_all(self.fault.emit, lambda: self.running.last_entries() if self.running is not None else [])
        self._hearing = Hearing(self, self._pressed)
        self._hearing.turned.connect(lambda: QTimer.singleShot(0, self._stand))
        self.crew_place = CrewPlace(self, self._hearing.listen)
        self.crew_place.said.connect(self.say)
        self.crew_place.turned.connect(lambda: QTimer.singleShot(0, self._stand))
        put_in_place(self, "window")
        QTimer.singleShot(SOUNDS_AFTER_MS, self._load_sounds)

    @property
    def crew(self) -> CrewScreen | None:
        """The crew screen."""
        return self.crew_place.screen

    @property
    def start(self) -> StartPage:
        """The start page."""
        return self.nav.start

    def _start_page(self) -> StartPage:
        from studiotimer.window.start import StartPage

        start = StartPage(lambda plan: with_memory(plan, self.kept.memory), self.nav.pages)
        start.begun.connect(self.begin)
        start.opened.connect(self.open_file)
        start.demo_opened.connect(self.open_demo)
        start.demo_planned.connect(self.plan_demo)
        start.rehearsed.connect(self.rehearse)
        start.practised.connect(self.practise)
        return start

    def begin(self, plan: Plan, path: Path) -> None:
        """Begin a new shoot."""
        from studiotimer.session.live import new_session

        session = self._opened(lambda: new_session(path, with_memory(plan, self.kept.memory)))
        if session is not None and self._run(session) and self.running is not None:
            remember_soon(path)
            self.running.call("shot")

    def practise(self) -> None:
        """Begin the first try: a shoot of its own, led one call after another."""
        from studiotimer.session.live import new_session
        from studiotimer.window.set.guide import Guide, practice_path, practice_plan

        session = self._opened(lambda: new_session(practice_path(datetime.now()), practice_plan()))
        if session is not None and self._run(session) and self.running is not None and self.page is not None:
            self.running.call("shot")
            self._guide = Guide(self.running, self.kept.keys, self)
            self._guide.said.connect(self._stand)
            self.page.pressed.leads_out = True
            self.page.calls.chooser.left.connect(self._guide.left)
            self.page.calls.strip.left.connect(self._guide.left)
            self._stand()

    def open_file(self, path: Path, follow: bool = False) -> None:
        """Open a session, for writing where that can be, else read-only with the reason; or a plan."""
        if path.suffix == PLAN_SUFFIX:
            self.nav.plan(path)
            return
        from studiotimer.session.live import follow as follow_session
        from studiotimer.session.together import open_or_offer

        session = self._opened(lambda: follow_session(path, aside=True) if follow else open_or_offer(path))
        if session is None:
            return
        remember_soon(path)
        if self._run(session) and session.following and self.running is not None:
            self._news.begin(self.running)

    def _opened(self, work: Callable[[], S]) -> S | None:
        """Return a session that is opened aside, since its disk may not answer; None when it is said why not."""
        try:
            return answered("opening the session", work, PATIENCE_S, lambda late: late.leave())
        except (SessionFileError, SlowError) as error:
            self.say(str(error))
            if isinstance(error, GoneOnError):
                self.start.offer(error.beside)
            return None

    def open_demo(self, demo: Path) -> None:
        """Open a copy of a demo's session."""
        with_copy(session_copy, demo, self.open_file, self.say)

    def plan_demo(self, demo: Path) -> None:
        """Open a copy of a demo's plan."""
        with_copy(plan_copy, demo, self.nav.plan, self.say)

    def rehearse(self, path: Path, asked: RehearsalAsked | None = None) -> None:
        """Play a recorded session, 20 times as fast unless it is asked otherwise, or rehearse a plan."""
        from studiotimer.session.reading import read
        from studiotimer.session.rehearsal import USUAL_SPEED, Rehearsal, RehearsalAsked
        from studiotimer.window.set.playbar import PlayBar

        if path.suffix == PLAN_SUFFIX:
            self.rehearsals.open(path, asked or RehearsalAsked(1.0))
            return
        speed = asked.speed if asked is not None else USUAL_SPEED
        session = self._opened(lambda: Rehearsal(read(path), speed))
        if session is None or not self._run(session):
            return
        assert self.page is not None
        assert self.running is not None
        self.play = PlayBar(session)
        self.play.jumped.connect(self.running.look_anew)
        self.page.take_play(self.play)
        self._news.begin(self.running, self.play)

    def say(self, words: str) -> None:
        """Show a quiet line on the page in view."""
        self.nav.say(words)

    def finish(self) -> None:
        """Close the session and go back to the start page."""
        if not self.close_session():
            self.say(STAYS_OPEN)
            return
        before, self.running, self.page = self.running, None, None
        self.settings_shown.take(None)
        self.nav.leave_session()
        if before is not None:
            before.deleteLater()
        self.setWindowTitle("Studiotimer")

    def close_session(self) -> bool:
        """End the session and return True; while the disk refuses, it goes on."""
        if self.running is not None:
            written = not self.running.session.read_only and self.running is not self.rehearsals.running
            if not self.running.close():
                return False
            if written:
                self.kept.learn_from(self.running.session, self.running.learned)
        self._let_go()
        return True

    def _let_go(self) -> None:
        """End what goes with an open session."""
        self._news.end()
        self.rehearsals.end()
        if self.services is not None:
            self.services.end()
            self.services = None
        self._first.forget()
        self.play = self._guide = None
        self.crew_place.leave()

    def _run(self, session: Session) -> bool:
        """Show a session, and return True, unless the one before it must stay open."""
        if not self.close_session():
            session.close()
            self.say(STAYS_OPEN)
            return False
        from studiotimer.window.running import Running
        from studiotimer.window.session_services import SessionServices
        from studiotimer.window.set.page import SetPage

        before, self.running = self.running, Running(session, self)
        self.page = SetPage(self.running, self.kept.keys)
        self.settings_shown.take(self.page)
        self.running.accepted.connect(self._sound)
        self.running.refused.connect(lambda _: self.sounds.play("refused"))
        self.page.sound_wanted.connect(self.sounds.play)
        self.page.asked.connect(self._asked)
        self.page.calls.watch_wanted.connect(self.watch)
        self.running.trouble.connect(lambda _: self._stand())
        self.running.accepted.connect(lambda _: self._stand())
        self.nav.show_session(self.page, self.page.header.top, self.running)
        if before is not None:
            before.deleteLater()
        self.running.moved.connect(self._moved)
        self.running.copied.connect(self._copied)
        self.running.beside.connect(lambda beside: self._moved(beside.path))
        self.running.found.connect(self._stand)
        self.running.left_to_us.connect(self._take_over)
        self.setWindowTitle(f"{plain(session.path.stem)} – Studiotimer")
        self._stand()
        self.services = SessionServices(self.running, self.page)
        self.services.said.connect(self._add)
        self.services.added.connect(self._add)
        self.services.camera_off.connect(self.page.calls.propose_camera)
        self.crew_place.reopen(self.page)
        self._first.then(self.running.begin, self.services.begin)
        return True

    def _add(self, words: str) -> None:
        """Show what comes by itself after what stands on the Set page already, such as the answer to a call."""
        there = self.page is not None and not self.page.isHidden()
        self.say(self.page.quiet_line.before(words) if self.page is not None and there else words)

    def _sound(self, entry: Entry) -> None:
        if entry.kind != "frame":
            self.sounds.play("accepted")

    def watch(self, folder: str, ahead_s: float) -> None:
        """Watch a capture folder for new pictures, or none."""
        if self.services is not None and self.page is not None:
            self.page.calls.capture_now = (folder, ahead_s)
            self.services.watch(folder, ahead_s)

    def show_crew(self) -> None:
        """Open the crew screen, or close it."""
        if self.page is not None:
            self.crew_place.turn(self.page)

    def _pressed(self, watched: QWidget, event: QKeyEvent) -> bool:
        """Hand a key to the session's page where that is in view, else to what every page has."""
        page = self.page if self.page is not None and self.pages.currentWidget() is self.page else None
        if page is None or watched.window() not in (self, self.crew) or QApplication.activeModalWidget() is not None:
            return self.settings_shown.hears(watched, event)
        on_crew = self.crew_place.active
        taken = page.pressed.hear(event, on_crew)
        if on_crew and page.calls.choosing:
            self.activateWindow()
        return taken

    def _asked(self, action: Action) -> None:
        """Do what a key or button of the page asks of the window."""
        deeds = {"dim": self.dim, "crew": self.show_crew, WAY_OUT: self.finish}
        if (deed := deeds.get(action)) is not None:
            deed()

    def dim(self) -> None:
        """Dim both windows, or light them again."""
        dimmed = not self._veil.isVisible()
        self._veil.cover(dimmed)
        if self.crew is not None:
            self.crew.dim(dimmed)

    def _stand(self) -> None:
        """Show the warnings that stand: keys not heard, disk refusing, read-only."""
        if self.page is None or self.running is None:
            return
        from studiotimer.window.set.open_warnings import open_warnings

        heard = self.isActiveWindow() or self.crew_place.active or self._hearing.heard
        session = self.running.session
        self._warned = self._warned and session.trouble is not None
        stands = open_warnings(
            session, heard, self._guide.words if self._guide is not None else None, self.running.other
        )
        self.page.stand(stands.words, stands.offer, stands.urgent)
        if self.crew is not None:
            self.crew.warn("" if heard or session.following else "keys are not heard")

    def _moved(self, path: Path) -> None:
        """The session goes on in another file."""
        remember_soon(path)
        self.setWindowTitle(f"{plain(path.stem)} – Studiotimer")

    def _copied(self, path: Path) -> None:
        """A damaged session goes on in a copy: opened once the key or click that asked for it is done."""
        QTimer.singleShot(0, self, lambda: self.open_file(path))

    def _take_over(self) -> None:
        """A session that was followed goes on here: shown once the key or click that asked for it is done."""
        if self.running is None:
            return
        from studiotimer.session.elsewhere import NowhereError
        from studiotimer.session.taking_over import take_over

        try:
            session = take_over(self.running.session)
        except NowhereError as error:
            self.say(str(error))
            return
        remember_soon(session.path)
        QTimer.singleShot(0, self, lambda: self._run(session))

    def _load_sounds(self) -> None:
        with faults.logged("the sounds"):
            self.sounds.engine.said.connect(self._add)
            self.sounds.load()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if not event.spontaneous():
            self.nav.begin()
            if self.running is None:
                self._first.then(self.ahead.begin)
            self.windowHandle().screenChanged.connect(self.crew_place.moved)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.nav.fit()

    def closeEvent(self, event: QCloseEvent) -> None:
        if self.running is not None and self.running.closing:
            QTimer.singleShot(CLOSE_AGAIN_MS, self.close)
            event.ignore()
            return
        keep_place(self, "window")
        if not self.nav.may_close():
            event.ignore()
            return
        if not self.close_session():
            self.say(f"{STAYS_OPEN} Close the window once more to lose it.")
            if not self._warned:
                self._warned = True
                event.ignore()
                return
            if self.running is not None:
                self.running.leave()
            self._let_go()
        self.running = None
        self.sounds.end()
        self.ahead.end()
        self.nav.end()
        shelf.flush()
        event.accept()
