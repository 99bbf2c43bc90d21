"""The sheet as it will be printed, shown inside the window, and where it can go from there."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QPixmap, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from studiotimer.prep.outputs import SHEET, made_now
from studiotimer.prep.results import Results
from studiotimer.window.choice import Choice
from studiotimer.window.file_bar import proposed
from studiotimer.window.flow import Scrolled, turned
from studiotimer.window.prep.pages import Pages, pages_pictures, print_pages
from studiotimer.window.prep.papers import CALLED, papers
from studiotimer.window.style import button, label

WIDEST, SIDE = 900, 250
LEAST_SHEET = 320
ANY_WIDTH = 16_777_215
"""Qt's own limit: none."""


def printers() -> list[str]:
    """Return the names of this machine's printers, the usual one first."""
    from PySide6.QtPrintSupport import QPrinterInfo

    names = list(QPrinterInfo.availablePrinterNames())
    usual = QPrinterInfo.defaultPrinterName()
    return sorted(names, key=lambda name: name != usual)


class Preview(QWidget):
    """Every page of the sheet, beside what can be done with it."""

    left = Signal()
    pdf_wanted = Signal()
    files_wanted = Signal()
    said = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("the sheet before printing")
        self._pages_of: dict[str, Pages] = {}
        self._letter = False
        row = self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(28)
        side = QVBoxLayout()
        side.setSpacing(10)
        self.which = Choice()
        self.which.fill([(name, words[:1].upper() + words[1:]) for name, words in CALLED.items()], SHEET)
        self.which.setAccessibleName("what is printed")
        self.which.currentIndexChanged.connect(lambda _: self._draw())
        self.about = label("", "quiet", "about the sheet")
        self.printers = Choice()
        self.printers.setAccessibleName("printer")
        self.print_it = button("Print", self._print, "main")
        self.pdf = button("Save as PDF", self.pdf_wanted.emit, "main")
        self.files = button("Write all files", self.files_wanted.emit)
        self.files_about = label(
            "The sheet, the flags, shopping.csv, run_sheet.ics for a calendar, and plan.json.", "quiet"
        )
        self.back = button("Back to the plan", self.left.emit, hint="Escape")
        for widget in (
            label("On paper", "large"), self.which, self.about, self.printers, self.print_it, self.pdf, self.files,
            self.files_about, self.back,
        ):  # fmt: skip
            side.addWidget(widget)
        side.addStretch(1)
        holder = QWidget()
        holder.setLayout(side)
        side.setContentsMargins(0, 0, 0, 0)
        self._deeds = holder
        self._beside = Scrolled(holder, "what can be done with the sheet")
        row.addWidget(self._beside)
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.area.setAccessibleName("pages of the sheet")
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

    def show_results(self, results: Results) -> None:
        """Show the sheet of a plan."""
        self._letter = results.style == "US"
        self._pages_of = papers(results, made_now())
        names = printers()
        self.printers.fill([(name, name) for name in names], names[0] if names else None)
        for widget in (self.printers, self.print_it):
            widget.setVisible(bool(names))
        self.pdf.setProperty("role", "" if names else "main")
        self._draw()
        (self.print_it if names else self.pdf).setFocus()

    @property
    def paper(self) -> str:
        """Return which of the papers is shown, by its file's name."""
        return str(self.which.currentData())

    @property
    def called(self) -> str:
        """Return what the paper that is shown is called."""
        return CALLED[self.paper]

    def file_for(self, title: str) -> Path:
        """Return where the paper that is shown would be saved, of a plan of that title."""
        return proposed(title if self.paper == SHEET else f"{title} flags", ".pdf")

    def _draw(self) -> None:
        if not self._pages_of:
            return
        pages = self._pages_of[self.paper]
        ratio = self.devicePixelRatioF()
        width = min(max(self.area.viewport().width() - 24, 200), WIDEST)
        shown = pages_pictures(pages, round(width * ratio), self._letter)
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
                page.setAccessibleName(f"page {number + 1} of {len(shown)} of the {self.called}: {pages.title}")
        paper = "US Letter" if self._letter else "A4"
        count = "one page" if len(shown) == 1 else f"{len(shown)} pages"
        self.about.setText(f"{pages.title}: {count} of {paper}.")

    def _print(self) -> None:
        from PySide6.QtPrintSupport import QPrinter, QPrinterInfo

        name = self.printers.currentData()
        printer = QPrinter(QPrinterInfo.printerInfo(name), QPrinter.PrinterMode.HighResolution)
        if self._pages_of and print_pages(self._pages_of[self.paper], printer, self._letter):
            self.said.emit(f"Sent to {name}.")
        else:
            self.said.emit(f"{name} did not take the {self.called}; save it as PDF instead.")

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
