"""How often such a day gives every shot: one sentence, worked out aside each time the plan changes."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from studiotimer.errors import FaultError, StoppedError, WorkError
from studiotimer.places import state_folder
from studiotimer.prep.results import Results
from studiotimer.trial.answer import Answer, answer_of, days_worth
from studiotimer.trial.figures import TrialError
from studiotimer.trial.luck import ALL, usual_luck
from studiotimer.window import theme
from studiotimer.window.aside import Aside
from studiotimer.window.faults import FILE
from studiotimer.window.prep.how import HOW, LINK, How
from studiotimer.window.prep.written_fields import Tick
from studiotimer.window.style import button, label, restyle

SEED = 1
TRYING = "Trying the day many times…"
STOPPED = "How often such a day gives every shot was not tried."
FAILED = "How often such a day gives every shot could not be worked out. Details are in {file}."
TITLE = "Such days"
REHEARSE = "Rehearse this plan"
ACCIDENTS = "accidents happen"


@dataclass(frozen=True)
class _Tried:
    turn: int
    answer: Answer | None = None
    wrong: str = ""


class TrialLine(QWidget):
    """The sentence, how it was found, and a stop; stopped, it waits until it is asked to go on."""

    rehearse_wanted = Signal(object, object)
    """The plan, and what is never to go wrong."""

    def __init__(self) -> None:
        super().__init__()
        self.answer: Answer | None = None
        self._results: Results | None = None
        self._turn = 0
        self._resting = False
        self._wrong = ""
        self._stop = threading.Event()
        self._aside = Aside("trial", self)
        self.said = label(TRYING, "large", "how often such a day gives every shot")
        self.link = button(LINK, self._unfold, "link")
        self.turn = button("", self._start_or_stop, "link")
        self.how = How()
        links = QHBoxLayout()
        links.setContentsMargins(0, 0, 0, 0)
        links.setSpacing(2 * theme.GAP)
        self.rehearse = button(REHEARSE, self._rehearse, "link")
        self.accidents = Tick(ACCIDENTS)
        self.accidents.setAccessibleName("accidents happen on such days")
        self.accidents.setChecked(True)
        self.accidents.setToolTip("Drops, late locks, one take more, an open freezer door; own rules")
        self.accidents.toggled.connect(lambda _: self._try())
        for each in (self.link, self.turn, self.rehearse, self.accidents):
            links.addWidget(each, 0, Qt.AlignmentFlag.AlignLeft)
        links.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(self.said)
        column.addLayout(links)
        column.addWidget(self.how)
        self._show()

    @property
    def busy(self) -> bool:
        """Whether days are being tried."""
        return self._results is not None and self.answer is None and not self._resting and not self._wrong

    @property
    def without(self) -> tuple[str, ...]:
        """What never goes wrong on the days tried, and on one rehearsed."""
        return () if self.accidents.isChecked() else (ALL,)

    def show_results(self, results: Results) -> None:
        """Try the days of a plan, in place of those of a plan before."""
        self._results = results
        self._try()

    def end(self) -> None:
        """Try no more days."""
        self._stop.set()
        self._aside.end()

    def _try(self) -> None:
        self._stop.set()
        self._turn += 1
        self.answer, self._wrong = None, ""
        if self._results is not None and not self._resting:
            self._stop = threading.Event()
            work = partial(_tried, self._turn, self._results, self.without, self._stop)
            self._aside.ask("trial", work, self._told, partial(self._failed, self._turn))
        self._show()

    def _told(self, tried: _Tried) -> None:
        if tried.turn == self._turn and not self._resting:
            self.answer, self._wrong = tried.answer, tried.wrong
            self._show()

    def _failed(self, turn: int, error: WorkError) -> None:
        self._told(
            _Tried(
                turn, wrong=FAILED.format(file=state_folder() / FILE) if isinstance(error, FaultError) else f"{error}."
            )
        )

    def _start_or_stop(self) -> None:
        self._resting = not self._resting
        self._try()

    def _rehearse(self) -> None:
        if self._results is not None and not self._wrong:
            self.rehearse_wanted.emit(self._results.plan, self.without)

    def _unfold(self) -> None:
        self.how.setVisible(self.how.isHidden())
        self._show()

    def _show(self) -> None:
        answer = self.answer
        self.said.setText(self._wrong or (answer.sentence if answer else STOPPED if self._resting else TRYING))
        restyle(self.said, "role", "warning" if self._wrong else "large" if answer else "quiet")
        self.turn.setText("Try the days" if self._resting else "Stop")
        self.turn.setAccessibleName("try the days" if self._resting else "stop trying days")
        self.turn.setVisible(self._resting or self.busy)
        self.link.setVisible(answer is not None)
        self.rehearse.setVisible(not self._wrong)
        unfolded = not self.how.isHidden()
        if answer is not None:
            self.how.tell(TITLE, answer.found)
        elif unfolded:
            self.how.hide()
        self.link.setText(f"{LINK}  ▴" if unfolded else LINK)
        self.link.setAccessibleName(f"such days: {HOW}, {'unfolded' if unfolded else 'folded'}")


def _tried(turn: int, results: Results, without: tuple[str, ...], stop: threading.Event) -> _Tried:
    luck = usual_luck().without(without)
    try:
        return _Tried(turn, answer_of(results, days_worth(results), SEED, luck, stop.is_set))
    except TrialError as error:
        return _Tried(turn, wrong=f"{str(error)[:1].upper()}{str(error)[1:]}.")
    except StoppedError:
        return _Tried(-1)
