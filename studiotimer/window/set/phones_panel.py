"""The panel *Phones*: the code to read, what is asked about a phone, and the phones there are; no clock is covered."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QRectF, QSize, Qt, QTimer
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from studiotimer.phones.addresses import Address, addresses
from studiotimer.phones.pairing import LONGEST_NAME, Phone
from studiotimer.session.calls.rights import Right
from studiotimer.session.clock import steady_seconds
from studiotimer.window import theme
from studiotimer.window.choice import Choice
from studiotimer.window.flow import Scrolled
from studiotimer.window.phones import PhoneServer
from studiotimer.window.spoken import SpokenLabel
from studiotimer.window.stack import Part

QUIET_MODULES = 4
"""The width of the white edge round a code, in its modules (ISO/IEC 18004: four)."""
NOBODY_S = 60.0
TICK_MS = 500
STEPS = (
    "1  The phone joins this laptop's Wi-Fi and reads the code with its camera.",
    "2  Its browser warns: no authority knows this laptop. Under Advanced or Details go on to {address}. "
    "Nothing is installed, nothing trusted for good.",
    "3  Give the phone a name. The laptop asks here whether it may call.",
)
HONEST = (
    "Somebody between phone and laptop on this Wi-Fi could read and act while you pair. "
    "A hotspot of your own keeps others out."
)
PRINT = (
    "Or compare before you go on: the certificate that the browser shows beside its warning has this SHA-256 print "
    "(fingerprint), else it is not this laptop's: {seal}"
)
NOBODY = (
    "No phone has reached this laptop in 60 s. It may be: a guest Wi-Fi that keeps devices apart; this laptop's "
    "firewall, which must let port {port} in; the phone on another network or on mobile data. "
    "A hotspot of your own helps with all three."
)
QUESTION = "Let this phone pull and move scoops?"
STARTING, OFF = "Starting …", "Phones are off: nothing listens."
ANSWERS: tuple[tuple[str, Right | None], ...] = (
    ("No", None), ("It may watch", "watch"), ("Yes, pull and move", "assistant"), ("Yes, everything", "everything"),
)  # fmt: skip
RIGHT_WORDS: dict[Right, str] = {
    "watch": "watches", "assistant": "pulls and moves", "everything": "everything",
}  # fmt: skip


class Code(QWidget):
    """A QR code, as large as its room."""

    def __init__(self) -> None:
        super().__init__()
        self.text = ""
        self._rows: list[list[int]] = []
        self.setAccessibleName("code for a phone's camera")
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Ignored)

    def show_text(self, text: str) -> None:
        """Show the code of a text; nothing of an empty one."""
        if text != self.text:
            import segno

            self.text = text
            self._rows = [list(row) for row in segno.make(text, error="m", micro=False).matrix] if text else []
            self.update()

    def sizeHint(self) -> QSize:
        return QSize(self.height(), self.height())

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._rows:
            return
        painter = QPainter(self)
        modules = len(self._rows) + 2 * QUIET_MODULES
        ratio = self.devicePixelRatioF()
        one = max(int(min(self.width(), self.height()) * ratio / modules), 1) / ratio
        side = one * modules
        left, top = (self.width() - side) / 2, (self.height() - side) / 2
        painter.fillRect(QRectF(left, top, side, side), QColor("white"))
        for row, cells in enumerate(self._rows, QUIET_MODULES):
            for column, dark in enumerate(cells, QUIET_MODULES):
                if dark:
                    painter.fillRect(QRectF(left + column * one, top + row * one, one, one), QColor("black"))


class PhonesPanel(Part):
    """Shows the phones of a session. Its answers are for the mouse: no key, foot switch or clicker gives one."""

    def __init__(self, server: PhoneServer) -> None:
        super().__init__()
        self.setAccessibleName("Phones")
        self._server = server
        self._since = steady_seconds()
        self._shown: tuple[tuple[Phone, bool], ...] = ()
        self.code = Code()
        self.networks = Choice()
        self.off = _press("Turn phones off", self._turn)
        self.steps = [_words() for _ in STEPS]
        self.state, self.honest, self.hint = _words("message"), _words(), _words("message", "warning")
        self.seal = _words()
        self.question, self.name, self.left = _words("question"), _words("phone"), _words()
        self.answers = {words: _press(words, partial(self._answer, right), "answer") for words, right in ANSWERS}
        self.rows: dict[str, tuple[QLabel, QLineEdit, QPushButton]] = {}
        self._arrange()
        self._fill_networks()
        server.changed.connect(self.show_phones)
        self._tick = QTimer(self)
        self._tick.setInterval(TICK_MS)
        self._tick.timeout.connect(self.show_phones)
        self._tick.start()
        self.show_phones()

    def _arrange(self) -> None:
        self._asking = QWidget()
        asked = QVBoxLayout(self._asking)
        asked.setContentsMargins(0, 0, 0, 0)
        for part in (self.question, self.name, self.left):
            asked.addWidget(part)
        buttons = QHBoxLayout()
        for button in self.answers.values():
            buttons.addWidget(button)
        buttons.addStretch(1)
        asked.addLayout(buttons)
        asked.addStretch(1)
        told = QWidget()
        column = QVBoxLayout(told)
        column.setContentsMargins(0, 0, 0, 0)
        for part in (self.state, *self.steps, self.hint, self.honest, self.seal):
            column.addWidget(part)
        row = QHBoxLayout()
        row.addWidget(self.networks, 1)
        row.addWidget(self.off)
        column.addLayout(row)
        column.addStretch(1)
        self._told = Scrolled(told, "how a phone is paired")
        holder = QWidget()
        self._list = QGridLayout(holder)
        self._list.setContentsMargins(0, 0, 0, 0)
        self._list.setColumnStretch(0, 2)
        self._list.setColumnStretch(1, 3)
        self._area = Scrolled(holder, "the phones")
        self._line = QHBoxLayout(self)
        self._line.setContentsMargins(0, 0, 0, 0)
        for side, share in ((self.code, 0), (self._asking, 3), (self._told, 4), (self._area, 3)):
            self._line.addWidget(side, share)
        self.networks.activated.connect(lambda _: self._choose())

    def set_scale(self, scale: float) -> None:
        size, gap = round((theme.BODY - 1) * scale), round(4 * scale)
        self._line.setContentsMargins(0, 2 * gap, 0, 0)
        self._line.setSpacing(round(20 * scale))
        self._list.setSpacing(round(6 * scale))
        self.question.setStyleSheet(f"font-size: {round((theme.TITLE) * scale)}px; font-weight: 600;")
        self.name.setStyleSheet(f"font-size: {round((theme.LARGE) * scale)}px;")
        self.setStyleSheet(
            f"QLabel, QLineEdit, QComboBox {{ font-size: {size}px; }}"
            f"QPushButton {{ font-size: {size}px; padding: {gap * 2}px {gap * 3}px; border-radius: {gap * 2}px; }}"
            f'QPushButton[role="answer"] {{ font-size: {round(theme.LARGE * scale)}px; padding: {gap * 5}px; }}'
        )

    def resizeEvent(self, event: object) -> None:
        self.code.setFixedWidth(min(self.height(), self.width() // 3))

    def show_phones(self) -> None:
        """Show the code, or the question that is asked, and the phones there are."""
        server, host = self._server, self._server.host
        asked = host.phones.question
        self._asking.setVisible(asked is not None)
        self._told.setVisible(asked is None)
        self.code.setVisible(asked is None and server.on)
        if asked is not None:
            self.question.setText(QUESTION)
            self.name.setText(f"“{asked.name}”")
            self.left.setText(f"No in {max(asked.until - steady_seconds(), 0.0):.0f} s if nobody answers.")
        self.code.show_text(server.link if asked is None else self.code.text)
        self._show_words()
        live = host.server.live
        shown = tuple((phone, phone.id in live) for phone in host.phones.all())
        if [(one.id, one.name, on) for one, on in shown] != [(one.id, one.name, on) for one, on in self._shown]:
            self._shown = shown
            self._show_list()

    def _show_words(self) -> None:
        server, told = self._server, self._server.host.server
        listens = told.port is not None
        if self.networks.currentData() != server.address and not self.networks.view().isVisible() and server.on:
            self._fill_networks()
        where = f"{server.address.address}:{told.port}" if server.address is not None else ""
        self.state.setText(f"Address: https://{where}" if listens else STARTING if server.on else OFF)
        for label, words in zip(self.steps, STEPS, strict=True):
            label.setText(words.format(address=server.address.address if server.address else ""))
            label.setVisible(listens)
        nobody = listens and not told.heard and steady_seconds() - self._since > NOBODY_S
        wrong = f"Wrong keys were tried {told.wrong} times." if told.slowed else ""
        self.hint.setText(NOBODY.format(port=told.port) if nobody else wrong)
        self.hint.setVisible(bool(self.hint.text()))
        self.honest.setText(HONEST)
        self.honest.setVisible(listens and not nobody)
        self.seal.setText(PRINT.format(seal=told.seal.replace(":", " ")))
        self.seal.setVisible(listens and not nobody)
        self.off.setText("Turn phones off" if server.on else "Let phones in")

    def _show_list(self) -> None:
        for parts in self.rows.values():
            for part in parts:
                self._list.removeWidget(part)
                part.hide()
                part.deleteLater()
        self.rows = {}
        for row, (phone, live) in enumerate(self._shown):
            mark = _words()
            mark.setText(f"{'●  live' if live else '○  not live'}\n{RIGHT_WORDS[phone.right]}")
            mark.setWordWrap(False)
            name = QLineEdit(phone.name)
            name.setMaxLength(LONGEST_NAME)
            name.setAccessibleName(f"name of the phone {phone.name}")
            name.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
            name.editingFinished.connect(partial(self._call_it, phone.id, name))
            revoke = _press("Revoke", partial(self._server.host.revoke, phone.id))
            revoke.setAccessibleName(f"revoke {phone.name}")
            name.setCursorPosition(0)
            self.rows[phone.id] = (mark, name, revoke)
            for column, shown in enumerate((name, mark, revoke)):
                self._list.addWidget(shown, row, column)
        self._list.setRowStretch(len(self._shown), 1)

    def _call_it(self, phone: str, name: QLineEdit) -> None:
        name.clearFocus()
        self._server.host.call_it(phone, name.text())

    def _answer(self, right: Right | None) -> None:
        self._server.host.answer(right)

    def _turn(self) -> None:
        """Let phones in, or end that."""
        if self._server.on:
            self._server.close()
        else:
            self._choose()

    def _fill_networks(self) -> None:
        found = addresses()
        self.networks.fill([(one, one.words) for one in found], self._server.address)

    def _choose(self) -> None:
        chosen = self.networks.currentData()
        if isinstance(chosen, Address):
            self._since = steady_seconds()
            self._server.open(chosen)


def _words(what: str = "", role: str = "") -> QLabel:
    label = SpokenLabel(what, news=bool(what))
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    if role:
        label.setProperty("role", role)
    return label


def _press(words: str, deed: Callable[[], object], role: str = "") -> QPushButton:
    """Return a button for the mouse alone: keys go on to the page."""
    button = QPushButton(words)
    button.setProperty("role", role)
    button.setAccessibleName(words)
    button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    button.clicked.connect(lambda _=False: deed())
    return button
