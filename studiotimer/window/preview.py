"""What will be printed, shown page by page inside the window, and where it can go from there."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent, QImage, QKeyEvent, QPixmap, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QBoxLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from studiotimer.errors import WorkError
from studiotimer.window import theme
from studiotimer.window.aside import Aside
from studiotimer.window.choice import Choice
from studiotimer.window.flow import Scrolled, turned
from studiotimer.window.paper import Paper
from studiotimer.window.printing import SENT, Printer, pages_of, print_on, printers
from studiotimer.window.style import button, label, restyle

WIDEST, SIDE = 900, 250
LEAST_SHEET = 320
MOST_PAGES = 30
"""More are printed, but not shown."""
DRAWING = "The pages are being drawn…"
ANY_WIDTH = 16_777_215
"""Qt's own limit: none."""


class Preview(QWidget):
    """Every page of a paper, beside what can be done with it; `shown` tells that pages are there."""

    left = Signal()
    pdf_wanted = Signal()
    said = Signal(str, bool)
    shown = Signal()
    _in_view = Signal(bool)

    def __init__(
        self, noun: str, above: Sequence[QWidget] = (), more: Sequence[QWidget] = (), back: str = "Back"
    ) -> None:
        super().__init__()
        self.setAccessibleName(f"the {noun} before printing")
        self._paper: Paper | None = None
        self._aside, self._asking = Aside("preview", self), Aside("printers", self)
        row = self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.GUTTER)
        self.about = label("", "quiet", f"about the {noun}")
        self.printers = Choice()
        self.printers.setAccessibleName("printer")
        self.printers.currentIndexChanged.connect(lambda _: self._tell_trouble())
        self.print_it = button("Print", self._print, "main")
        self.trouble = label("", "warning", "about the printer")
        self.pdf = button("Save as PDF", self.pdf_wanted.emit, "main")
        self.back = button(back, self.left.emit, hint="Escape")
        self._found: list[Printer] = []
        holder = self._deeds = QWidget()
        side = QVBoxLayout(holder)
        side.setSpacing(theme.GAP)
        side.setContentsMargins(0, 0, 0, 0)
        for widget in (*above, self.about, self.printers, self.print_it, self.trouble, self.pdf, *more, self.back):
            side.addWidget(widget)
        side.addStretch(1)
        self._beside = Scrolled(holder, f"what can be done with the {noun}")
        row.addWidget(self._beside)
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.area.setAccessibleName(f"pages of the {noun}")
        inside = QWidget()
        self._pages = QVBoxLayout(inside)
        self._pages.setSpacing(18)
        self.area.setWidget(inside)
        row.addWidget(self.area, 1)
        self.pages: list[QLabel] = []
        self._again = QTimer(self)
        self._again.setSingleShot(True)
        self._again.setInterval(120)
        self._again.timeout.connect(self._draw)
        self._offer([])

    def show_paper(self, paper: Paper) -> None:
        """Show a paper, and the printers once they are known."""
        self.turn_to(paper)
        self.pdf.setFocus()
        self._asking.ask("printers", printers, self._offer, self._no_printers)

    def turn_to(self, paper: Paper) -> None:
        """Show a paper in place of the one before."""
        self._paper = paper
        for page in self.pages:
            page.hide()
        self.about.setText(DRAWING)
        self._draw()

    def end(self) -> None:
        """Stop what works aside."""
        self._aside.end()
        self._asking.end()

    def _no_printers(self, error: WorkError) -> None:
        self._offer([])
        self.trouble.setText(str(error))
        self.trouble.show()

    def _offer(self, found: list[Printer]) -> None:
        """Offer these printers; the keys go from the PDF to them, unless they went elsewhere meanwhile."""
        chosen = self.printers.currentData()
        names = [each.name for each in found]
        self._found = found
        first = names[0] if names else None
        self.printers.fill([(name, name) for name in names], chosen if chosen in names else first)
        for widget in (self.printers, self.print_it):
            widget.setVisible(bool(names))
        restyle(self.pdf, "role", "" if names else "main")
        self._tell_trouble()
        if names and self.pdf.hasFocus():
            self.print_it.setFocus()

    def _tell_trouble(self) -> None:
        trouble = next((each.trouble for each in self._found if each.name == self.printers.currentData()), "")
        self.trouble.setText(trouble)
        self.trouble.setVisible(bool(trouble))

    def _draw(self) -> None:
        paper = self._paper
        if paper is None:
            return
        ratio = self.devicePixelRatioF()
        width = round(min(max(self.area.viewport().width() - 24, 200), WIDEST) * ratio)
        self._aside.ask(
            "pages", lambda: pages_of(paper, width, MOST_PAGES), partial(self._drawn, paper, ratio), self._not_drawn
        )

    def _drawn(self, paper: Paper, ratio: float, shown: list[QImage]) -> None:
        if paper is not self._paper:
            return
        while len(self.pages) < len(shown):
            page = QLabel()
            self.pages.append(page)
            self._pages.addWidget(page, 0, Qt.AlignmentFlag.AlignHCenter)
        for number, page in enumerate(self.pages):
            page.setVisible(number < len(shown))
            if number < len(shown):
                picture = QPixmap.fromImage(shown[number])
                picture.setDevicePixelRatio(ratio)
                page.setPixmap(picture)
                page.setAccessibleName(f"page {number + 1} of {len(shown)} of the {paper.noun}: {paper.title}")
        kind = "US Letter" if paper.letter else "A4"
        pages = "one page" if len(shown) == 1 else f"{len(shown)} pages"
        words = f"the first {MOST_PAGES} pages" if len(shown) == MOST_PAGES else pages
        self.about.setText(f"{paper.title}: {words} of {kind}.")
        self.shown.emit()

    def _not_drawn(self, error: WorkError) -> None:
        self.about.setText(f"The pages cannot be shown: {error}")

    def _print(self) -> None:
        name, paper = self.printers.currentData(), self._paper
        if paper is None or name is None:
            return
        self.print_it.setEnabled(False)
        self.said.emit(f"Printing on {name}…", True)
        self._asking.ask(
            "print", lambda: print_on(name, paper), lambda words: self._printed(words, words == SENT.format(name=name)),
            lambda error: self._printed(str(error), False),
        )  # fmt: skip

    def _printed(self, words: str, well: bool) -> None:
        self.print_it.setEnabled(True)
        if (self.isVisible() and self.focusWidget() is None) or self.back.hasFocus() or self.pdf.hasFocus():
            self.print_it.setFocus()
        self.said.emit(words, well)
        self._asking.ask("printers", printers, self._offer, self._no_printers)

    def stand_in_for(self, strong: QPushButton) -> None:
        """Have the strong button of the page be an ordinary one while the paper's is in view."""
        self._in_view.connect(lambda on: restyle(strong, "role", "" if on else "main"))

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._in_view.emit(True)

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self._in_view.emit(False)

    def resizeEvent(self, event: QResizeEvent) -> None:
        narrow = turned(self._row, self.width())
        self._beside.setMinimumWidth(0 if narrow else SIDE)
        self._beside.setMaximumWidth(ANY_WIDTH if narrow else SIDE)
        self._beside.setMinimumHeight(self._deeds.sizeHint().height() if narrow else 0)
        self.area.setMinimumHeight(LEAST_SHEET if narrow else 0)
        self._again.start()
        super().resizeEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)
