"""The files of the Prep page: plans opened and saved, papers and all files written, mixes read."""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from studiotimer.errors import SlowError
from studiotimer.prep.draft import Values, put
from studiotimer.prep.messages import Message
from studiotimer.prep.outputs import made_now
from studiotimer.prep.results import Results
from studiotimer.thermal.mix import MixError
from studiotimer.window.aside import answered
from studiotimer.window.file_bar import FileBar, proposed, written_soon
from studiotimer.window.prep import unsaved
from studiotimer.window.prep.flavour_rows import read_mix
from studiotimer.window.prep.inputs import Inputs
from studiotimer.window.prep.plan_files import write_all, write_paper, write_plan
from studiotimer.window.prep.plan_head import Head
from studiotimer.window.prep.plan_preview import PlanPreview


class Filing(QWidget):
    """What the page does with files; the page itself has the plan."""

    kept = Signal(object)
    head: Head
    bar: FileBar
    inputs: Inputs
    preview: PlanPreview
    draft: Values
    path: Path | None

    @property
    def changed(self) -> bool:
        """Whether the plan has changes that are not saved."""
        raise NotImplementedError

    _saved: Values
    _saved_at: dt.datetime | None
    _taken_up: bool

    def may_leave(self) -> bool:
        """Whether the plan may be left."""
        raise NotImplementedError

    def open_plan(self, path: Path) -> str | None:
        """Open a plan file; return what was wrong, None when it is open."""
        raise NotImplementedError

    def say(self, words: str, well: bool = False) -> None:
        """Show a line until the next one."""
        raise NotImplementedError

    def when_worked_out(self, deed: Callable[[Results], None]) -> None:
        """Do `deed` with the results of the plan as it is, as soon as they are there."""
        raise NotImplementedError

    def _edited(self) -> None:
        raise NotImplementedError

    def open(self) -> None:
        """Ask which plan to open."""
        if not self.may_leave():
            return
        at = self.path or proposed(str(self.draft.get("title", "")), ".json")
        self.bar.ask("open", "Open the plan", "Open", at, self._opened_instead)

    def _opened_instead(self, path: Path) -> str | None:
        """Open a plan in the place of one that was left knowingly; return what was wrong, None when it is open."""
        taken_up = self._taken_up
        wrong = self.open_plan(path)
        unsaved.forget(taken_up and wrong is None)
        return wrong

    def save(self) -> None:
        """Save the plan where it is from, or ask where."""
        self.when_worked_out(self._save)

    def save_pdf(self) -> None:
        """Ask where the paper that is shown goes as a PDF."""

        def asked(results: Results) -> None:
            write = partial(write_paper, results, self.preview.paper)
            at, words = self.preview.file_for(results.plan.title), f"Save the {self.preview.called} as"
            self.bar.ask("save", words, "Save", at, lambda path: self._tell(write(path), f"Saved as {path}."))

        self.when_worked_out(asked)

    def write_files(self) -> None:
        """Ask in which folder all files go."""
        self.when_worked_out(
            lambda results: self.bar.ask(
                "folder", "Write all files into", "Write", proposed(results.plan.title), partial(self._all, results)
            )
        )

    def _mix_file(self, flavour: int) -> None:
        def read(path: Path) -> str | None:
            try:
                put(self.draft, ("flavours", flavour, "mix"), answered("reading the mix", lambda: read_mix(path)))
            except (MixError, SlowError) as error:
                self.say(f"{error}.")
                return str(error)
            self.inputs.flavours.forms[flavour].show_draft()
            self._edited()
            return None

        self.bar.ask("open", "Read the recipe or label", "Read", proposed("recipe", ".json"), read)

    def _save(self, results: Results) -> None:
        def saved(path: Path) -> str | None:
            if (why := write_plan(results.plan, path)) is not None:
                self.say(f"{why}; the plan that was there is as it was. Choose another place.")
                return why
            self.path, self._saved, self._saved_at = path, copy.deepcopy(self.draft), dt.datetime.now()
            unsaved.forget(self._taken_up)
            self.kept.emit(path)
            self.head.show_plan(self.draft, path, False, self._saved_at)
            self.say(f"Saved as {path}.", well=True)
            return None

        if self.path is None or saved(self.path) is not None:
            at = self.path or proposed(results.plan.title, ".json")
            self.bar.ask("save", "Save the plan as", "Save", at, saved)

    def save_message(self, message: Message, suffix: str) -> None:
        """Ask where a message goes, as text or as mail to open."""

        def write(path: Path) -> str | None:
            data = message.eml(made_now()) if suffix == ".eml" else message.text.encode("utf-8")
            return self._tell(written_soon(path.parent, lambda: {path.name: data}), f"Saved as {path}.")

        name = message.file_name.removesuffix(".txt").replace("_", " ")
        at = proposed(f"{self.draft.get('title', '')} {name}", suffix)
        self.bar.ask("save", f"Save the message to the {message.to}", "Save", at, write)

    def _all(self, results: Results, folder: Path) -> str | None:
        return self._tell(write_all(results, folder), f"All files are in {folder}.")

    def _tell(self, wrong: str | None, well: str) -> str | None:
        self.say(f"{wrong}." if wrong else well, well=wrong is None)
        return wrong
