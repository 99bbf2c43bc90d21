"""A plan rehearsed in the window: a real session, in a folder that goes when it is over unless it is kept."""

from __future__ import annotations

import random
import tempfile
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QBoxLayout

from studiotimer.errors import SlowError
from studiotimer.plain import plain
from studiotimer.session.first_lines import SUFFIX, SessionFileError
from studiotimer.window.aside import Aside, answered
from studiotimer.window.recent import new_session_path

if TYPE_CHECKING:
    from studiotimer.prep.plan import Plan
    from studiotimer.session.live import Session
    from studiotimer.session.rehearsal import RehearsalAsked
    from studiotimer.trial.luck import Luck
    from studiotimer.trial.rehearsing import Outcome, Rehearsing
    from studiotimer.window.navigation import Navigation
    from studiotimer.window.prep.page import PrepPage
    from studiotimer.window.running import Running
    from studiotimer.window.sight import SightStrip

STEP_MS = 100
MOST_LUCK = 999
ABOUT = "Rehearsal, luck {luck}{left_out}, {speed:g} times as fast. "
NOT_KEPT, KEPT = "Nothing is kept.", "Kept as {name}."
WORKING = "You: {mine}. What following the cues would have given is being worked out…"
COMPARED = "You: {mine}. Following the cues, the same luck: {cues}."
OPEN_FIRST = "{name} is open: press once more to close it and rehearse this plan."
ALONE = "You: {mine}."


class Rehearsals(QObject):
    """Rehearses one plan at a time. `opened` opens a session aside, `run` shows it, `running` is the open one."""

    def __init__(
        self,
        opened: Callable[[Callable[[], Session]], Session | None],
        run: Callable[[Session], bool],
        running: Callable[[], Running | None],
        nav: Navigation,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._opened, self._run, self._running_now, self._nav = opened, run, running, nav
        self.running: Running | None = None
        """The session that is a rehearsal; None while none is."""
        self.strip: SightStrip | None = None
        self.rehearsing: Rehearsing | None = None
        self._plan: Plan | None = None
        self._luck: Luck | None = None
        self._seed, self._about = 0, ""
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self._aside: Aside | None = None
        self._cues: Outcome | None = None
        self._timer = QTimer(self)
        self._timer.setInterval(STEP_MS)
        self._timer.timeout.connect(self.step)
        self._prep: PrepPage | None = None
        self._warned: Path | None = None
        nav.pages.currentChanged.connect(lambda _: self._turned())

    def rehearse(self, plan: Plan, without: tuple[str, ...] = ()) -> None:
        """Rehearse a plan at its own speed; a session that is open is named first, and closed the second time."""
        running = self._running_now()
        session = running.session if running is not None and running is not self.running else None
        if session is not None and not session.read_only and self._warned != session.path:
            self._warned = session.path
            self._nav.say(OPEN_FIRST.format(name=plain(session.path.stem)))
            return
        from studiotimer.session.rehearsal import RehearsalAsked  # it comes with sessions; the window opens without

        self.begin(plan, RehearsalAsked(1.0, without=without))

    def open(self, path: Path, asked: RehearsalAsked) -> None:
        """Rehearse the plan in a file."""
        from studiotimer.prep.loading import load_plan  # it brings the physics, which the window opens without
        from studiotimer.prep.plan import PlanError

        try:
            plan = answered(f"reading {plain(path.name)}", lambda: load_plan(path))
        except (PlanError, SlowError) as error:
            self._nav.say(f"{error}.")
        else:
            self.begin(plan, asked)

    def begin(self, plan: Plan, asked: RehearsalAsked) -> None:
        """Rehearse a plan, with a luck that is drawn unless it is given."""
        from studiotimer.session.live import new_session
        from studiotimer.trial.luck import usual_luck
        from studiotimer.trial.rehearsed import FastClock, feet_of
        from studiotimer.trial.rehearsing import Rehearsing
        from studiotimer.window.set.flavours import Palette
        from studiotimer.window.sight import SightStrip

        folder = tempfile.TemporaryDirectory(prefix="studiotimer-", ignore_cleanup_errors=True)
        path = Path(folder.name) / f"rehearsal{SUFFIX}"
        session = self._opened(lambda: new_session(path, plan, FastClock(asked.speed)))
        if session is None or not self._run(session):
            folder.cleanup()
            return
        self.running, self._folder, self._plan, self._cues = self._running_now(), folder, plan, None
        self._luck, self._seed = usual_luck().without(asked.without), asked.luck or random.randint(1, MOST_LUCK)
        self.rehearsing = Rehearsing(plan, self._luck, self._seed)
        self._aside = Aside("rehearsal", self)
        self._aside.ask("feet", partial(feet_of, plan), self.rehearsing.know_feet)
        left_out = self._luck.left_out and f", {self._luck.left_out}"
        self._about = ABOUT.format(luck=self._seed, left_out=left_out, speed=asked.speed)
        self.strip = SightStrip(Palette(tuple(one.name for one in plan.flavours)), self._about + NOT_KEPT)
        self.strip.keep_wanted.connect(self.keep)
        column = self._nav.frame.layout()
        assert isinstance(column, QBoxLayout)
        column.insertWidget(1, self.strip)
        if self.running is not None:
            self.running.call("shot")
        self.step()
        self._timer.start()

    def step(self) -> None:
        """Take in what was called, tell what is to be seen, and take the photographer's frames."""
        if self.running is None or self.rehearsing is None or self.strip is None:
            return
        running, state, at = self.running, self.running.state, self.running.session.time()
        window = running.forecast.window if running.forecast else None
        for words in self.rehearsing.step(state, at, window.end.likely if window else None):
            self.strip.tell(words)
        if state.shot is not None and (name := self.rehearsing.frame_due(state, at)) is not None:
            running.call("frame", {"name": name, "shot": state.shot.name}, at_once=False)
        self.strip.heroes.show_sights(self.rehearsing.sights(state, at))

    def keep(self) -> None:
        """Keep the session where shoots are kept, and go on there."""
        if self.running is None or self.strip is None or self._plan is None:
            return
        session, title = self.running.session, f"rehearsal {self._plan.title}"
        try:
            written = answered("writing there", lambda: session.written_at(new_session_path(title, datetime.now())))
        except (SessionFileError, SlowError) as error:
            self.running.refused.emit(str(error))
            return
        session.go_on_with(written)
        self.strip.keep.hide()
        self.strip.about.setText(self._about + KEPT.format(name=session.path.name))
        self.running.moved.emit(session.path)

    def end(self) -> None:
        """Be done with the rehearsal, its folder and what was not kept."""
        self._timer.stop()
        self.running = self.rehearsing = None
        if self._aside is not None:
            self._aside.end()
        if self.strip is not None:
            self.strip.hide()
            self.strip.deleteLater()
        if self._folder is not None:
            with suppress(OSError):
                self._folder.cleanup()
        self._aside = self.strip = self._folder = None

    def _turned(self) -> None:
        """Show what is seen beside the Set page, beside Wrap how it compares, and nothing beside another."""
        if (prep := self._nav.prep) is not None and prep is not self._prep:
            self._prep = prep
            prep.view.trial.rehearse_wanted.connect(self.rehearse)
        if self.strip is None or self.rehearsing is None or self.running is None:
            return
        view = self._nav.view
        self.strip.setVisible(view in ("set", "wrap"))
        if view != "wrap":
            self.strip.compare("")
            return
        self._compare()
        if self._cues is None and self._aside is not None and self._plan is not None and self._luck is not None:
            from studiotimer.trial.rehearsed import by_its_cues

            work = partial(by_its_cues, self._plan, self._luck, self._seed)
            self._aside.ask("the day by its cues", work, self._know, lambda _: self._compare(ALONE))

    def _know(self, cues: Outcome) -> None:
        self._cues = cues
        if self._nav.view == "wrap":
            self._compare()

    def _compare(self, words: str = "") -> None:
        if self.strip is None or self.rehearsing is None or self.running is None:
            return
        words = words or (COMPARED if self._cues else WORKING)
        mine = self.rehearsing.outcome(self.running.session.time()).words
        self.strip.compare(words.format(mine=mine, cues=self._cues.words if self._cues else ""))
