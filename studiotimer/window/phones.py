"""The phones of the open session: their server is started when asked, told the news, and gone with the session."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QProcess, QTimer, Signal

from studiotimer.apart import module_line
from studiotimer.phones.addresses import Address, addresses
from studiotimer.phones.hosting import Answer, Host, Seen
from studiotimer.phones.news import Page, asked, due_now, told
from studiotimer.places import config_folder
from studiotimer.session.clock import steady_seconds
from studiotimer.session.cue import Cue
from studiotimer.window import theme
from studiotimer.window.ribbon import STAGE_COLOURS
from studiotimer.window.set.face import tiles

if TYPE_CHECKING:
    from studiotimer.window.running import Running
    from studiotimer.window.set.page import SetPage

PORT = 8722
LOOK_MS = 500
"""How often it is looked whether there is news where nothing was called."""
AGAIN_MS = 1000
TRIES = 5
"""How often in a row a server that ended is started again."""
MUCH = 1 << 20
"""Bytes not taken by a server that hangs: it is told nothing more until it takes them."""
DRIFT_S = 0.02
"""How far the session's clock may go off the steady one before phones are told other moments."""
ELSEWHERE = "Phones are off here; they pair anew with the machine that took the shoot over."
ENDED = "The phones' server ended. {key} starts it again."


def command() -> list[str]:
    """Return the command line of the server."""
    return module_line("studiotimer.phones")


class PhoneServer(QObject):
    """Keeps the server of one session. `changed` when what is shown of phones may differ, `asks` of a new question."""

    changed = Signal()
    asks = Signal()
    said = Signal(str)

    def __init__(self, running: Running, page: SetPage, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._running, self._page = running, page
        self.host = Host(running, self._write, self._hosted, self._seen)
        self.address: Address | None = None
        self._process: QProcess | None = None
        self._told: str = ""
        self._offset: float | None = None
        self._due: dict[str, float] = {}
        self._seen_ids: set[str] = set()
        self._tries = 0
        self._asked_about = ""
        self._slowed = 0
        self._look = QTimer(self)
        self._look.setInterval(LOOK_MS)
        self._look.timeout.connect(self._look_round)
        self._again = QTimer(self)
        self._again.setSingleShot(True)
        self._again.setInterval(AGAIN_MS)
        self._again.timeout.connect(self._start)
        running.changed.connect(self.tell_news)
        page.hushed.connect(self.tell_news)
        running.stored.connect(self.host.stored)
        running.trouble.connect(self.host.troubled)
        running.taken_over.connect(self._taken_over)

    @property
    def on(self) -> bool:
        """Whether there is a server, or there shall be one."""
        return self.address is not None

    @property
    def link(self) -> str:
        """Return what the code says: the address, and behind it the secret; empty while nothing listens."""
        if self.address is None or self.host.server.port is None:
            return ""
        return f"https://{self.address.address}:{self.host.server.port}/#{self.host.phones.secret()}"

    @property
    def words(self) -> tuple[str, str, str, str]:
        """Return what the button says: quiet and strong words, a mark and a colour."""
        live = len(self.host.server.live)
        if self.host.server.slowed:
            return "Phones", "wrong keys", "▲", theme.DARK.warning
        if not self.on:
            return "Phones", "", "", theme.DARK.quiet
        if self.host.phones.all():
            return "Phones", f"{live} live", "●" if live else "○", theme.DARK.quiet
        return "Phones", "on", "○", theme.DARK.quiet

    def open(self, address: Address | None = None) -> None:
        """Start the server on an address of this machine, the likeliest where none is chosen."""
        found = addresses()
        chosen = address or (found[0] if found else None)
        if chosen is None or (self.on and chosen == self.address):
            return
        self.close()
        self.address, self._tries = chosen, 0
        self._start()
        self._look.start()

    def close(self) -> None:
        """End the server; the phones stay paired until the session ends."""
        self._again.stop()
        self._look.stop()
        self.address = None
        self.host.server = Seen()
        self.host.phones.forget_secrets()
        process, self._process = self._process, None
        if process is not None:
            process.finished.disconnect(self._over)
            process.errorOccurred.disconnect(self._failed)
            process.closeWriteChannel()
            process.kill()
            if process.waitForFinished(1000):
                process.deleteLater()
            else:
                process.finished.connect(process.deleteLater)
        self.changed.emit()

    def take(self, message: dict[str, object], answer: Answer) -> None:
        """Answer what the server asks through the call socket."""
        if not self.on:
            answer({"refused": "phones are off"})
            return
        self.host.take(message, answer)

    def tell_news(self) -> None:
        """Tell the server what phones are shown now, where that is news."""
        if self._process is None or self.host.server.port is None:
            return
        page = self._made_page()
        self._due = due_now(page)
        self._seen_ids &= asked(page).keys()
        page = replace(page, due_since=self._due)
        news = {"do": "news", "news": told(page), "own": self.host.own()}
        line = json.dumps(news)
        if line != self._told and self._process.bytesToWrite() < MUCH:
            self._told = line
            self._write_line(line)

    def _made_page(self) -> Page:
        running, page = self._running, self._page
        session, now = running.session, running.session.time()
        palette = page.colours
        order = [tile.number for tile in tiles(running.relied_on, running.state, now, palette)]
        return Page(
            running.desk(), page.cues, running.relied_on, order, self._steady(now),
            lambda name: (name, palette.forms(name)[-1], palette.colour(name)),
            STAGE_COLOURS, self._due, frozenset(self._seen_ids), self._silent, session.plan.title,
        )  # fmt: skip

    def _steady(self, now: float) -> Callable[[float], float]:
        """Return what makes a session second one of the steady clock."""
        offset = steady_seconds() - now
        if self._offset is None or abs(offset - self._offset) > DRIFT_S:
            self._offset = offset
        kept = self._offset
        return lambda at: at + kept

    def _start(self) -> None:
        if self.address is None:
            return
        process = self._process = QProcess(self)
        process.setStandardOutputFile(QProcess.nullDevice())
        process.setProcessChannelMode(QProcess.ProcessChannelMode.ForwardedErrorChannel)
        process.finished.connect(self._over)
        process.errorOccurred.connect(self._failed)
        program, *rest = command()
        process.start(program, rest)
        self._told = ""
        folder = str(config_folder() / "phones")
        self._write(
            {"do": "open", "key": self.host.key, "address": self.address.address, "port": PORT, "folder": folder}
        )
        self.host.tell_phones()

    def _write(self, message: Mapping[str, object]) -> None:
        self._write_line(json.dumps(message))

    def _write_line(self, line: str) -> None:
        if self._process is not None:
            self._process.write(line.encode() + b"\n")

    def _failed(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._over()

    def _over(self) -> None:
        """The server ended: it is started again, its phones paired as before, a few times in a row."""
        process, self._process = self._process, None
        if process is not None:
            process.deleteLater()
        failed = self.host.server.failed
        self.host.server = Seen(failed=failed)
        self._tries += 1
        if failed or self._tries > TRIES:
            self._look.stop()
            self.address = None
            words = f"Phones cannot be served: {failed}." if failed else ENDED
            self.said.emit(words.format(key=self._page.keys.shown("phones")))
        else:
            self._again.start()
        self.changed.emit()

    def _hosted(self) -> None:
        """The server said something, or a phone came or went."""
        server, question = self.host.server, self.host.phones.question
        if server.port is not None:
            self._tries = 0
            self.tell_news()
        if question is not None and question.ticket != self._asked_about:
            self._asked_about = question.ticket
            self.asks.emit()
        if len(server.slowed) > self._slowed:
            last = next(reversed(server.slowed))
            self.said.emit(f"A device at {last} tried wrong keys {server.slowed[last]} times; it is slowed down.")
        self._slowed = len(server.slowed)
        self.changed.emit()

    def _seen(self, cue: str, name: str) -> None:
        """A phone has seen a cue: that one is silent from now on, here too; what is only fetched for it is not."""
        own, shown = asked(self._made_page()).get(cue, (None, None))
        if own is None or shown is None or cue in self._seen_ids or self._silent(shown):
            return
        self._page.say(f"Seen by {name}.", calm=True)
        if own is shown:
            self._page.alarms.hush(shown, len(self._running.state.scoops))
        else:
            self._seen_ids.add(cue)
            self.tell_news()

    def _silent(self, cue: Cue) -> bool:
        return self._page.alarms.silent(cue, len(self._running.state.scoops))

    def _taken_over(self) -> None:
        """Another machine goes on with the session: phones pair with that one anew."""
        if self.on:
            self.close()
            self.said.emit(ELSEWHERE)

    def _look_round(self) -> None:
        self.host.look()
        self.tell_news()
        self.changed.emit()
