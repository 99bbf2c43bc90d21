"""The large figures of the Prep page, each with how it was found."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from studiotimer.prep.cold import Freezer
from studiotimer.prep.found import Found, counted
from studiotimer.prep.results import Results
from studiotimer.window.style import button, label, restyle

CELL, GAP = 170, 12
HOW, LINK = "how this was found", "how?"


@dataclass(frozen=True)
class Shown:
    """A figure: what it says, what it is, and how it was found, line by line with each source."""

    key: str
    figure: str
    caption: str
    found: tuple[tuple[str, Found], ...]
    bad: bool = False


def figures_of(results: Results) -> list[Shown]:
    """Return the figures of a plan, in the order of the day's work."""
    shown = [
        Shown(
            freezer.name,
            freezer.setting.text,
            f"{freezer.name}: {', '.join(freezer.flavours)}" + (", a compromise" if freezer.costs else ""),
            (
                ("", freezer.setting),
                *(("", Found(None, "", each.text, freezer.setting.source)) for each in freezer.costs),
                *_split(results, freezer),
            ),
        )
        for freezer in results.freezers
    ]
    each_pulls = tuple((product.flavour, product.pulls) for product in results.products)
    shown.append(Shown("pulls", results.pulls.text, results.pulls.how.partition(";")[0], each_pulls))
    shown.append(_tubs(results))
    shown.append(_latest("product in", results.product_in, "product in, latest time"))
    shown.append(_latest("freezer on", results.freezer_on, "freezers on, latest time"))
    ice = results.ice
    if ice is not None:
        parts = (
            ("buy", ice.buy), ("box", ice.box), ("set", ice.on_set), ("on the way", ice.way), ("margin", ice.margin),
        )  # fmt: skip
        shown.append(Shown("dry ice", ice.buy.text, f"dry ice: {ice.parts}", parts))
        peak, _, rest = ice.co2.text.partition(" at most, ")
        high = "over" in rest or "no air changes" in rest
        caption = f"CO₂ in the studio at most, estimated, {rest}"
        shown.append(Shown("CO₂", peak, caption, (("", ice.co2),), bad=high))
    return shown


def _latest(key: str, found: Found, caption: str) -> Shown:
    """Return a time of day large, and its day, where it is another, before what it is."""
    day, _, time = found.text.rpartition(", ")
    return Shown(key, time, f"{day}: {caption}" if day else caption, (("", found),))


def _split(results: Results, freezer: Freezer) -> Iterator[tuple[str, Found]]:
    """Yield the split that costs less than this freezer's compromise."""
    found = results.split
    if found is not None and freezer.costs:
        yield "costs least", Found(found.value, found.text, f"{found.text} ({found.how})", found.source)


def _tubs(results: Results) -> Shown:
    counts = [product.tubs.value for product in results.products]
    total = sum(int(count or 0) for count in counts)
    each = [
        product.tubs.text if len(counts) == 1 else f"{product.flavour} {product.tubs.text}"
        for product in results.products
    ]
    found = tuple(
        (product.flavour, Found(None, "", f"{product.tubs.how}: {product.scoops_a_tub.how}", product.tubs.source))
        for product in results.products
    )
    return Shown("tubs", counted(total, "tub"), ", ".join(each), found, bad=None in counts)


class How(QFrame):
    """How results were found, each line with its source."""

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("role", "how")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(14, 10, 14, 12)
        self._column.setSpacing(5)
        self._title = label("", "heading")
        self._text = label("", "", HOW)
        self._text.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self._column.addWidget(self._title)
        self._column.addWidget(self._text)
        self.hide()

    def tell(self, title: str, found: Sequence[tuple[str, Found]]) -> None:
        """Show how each of `found` was found."""
        self._title.setText(f"{title}: {HOW}")
        lines, source = [], ""
        for name, each in found:
            if source and each.source != source:
                lines.append(f"Source: {source}.")
            lines.append(
                f"{name[:1].upper()}{name[1:]}: {each.how}." if name else f"{each.how[:1].upper()}{each.how[1:]}."
            )
            source = each.source
        self._text.setText("\n".join([*lines, f"Source: {source}."]))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Give the paragraph the height that its width wants, which a column in a scrolled side may not ask again."""
        super().resizeEvent(event)
        self._text.setMinimumHeight(self._text.heightForWidth(max(event.size().width() - 28, 1)))

    @property
    def text(self) -> str:
        """Return what is shown."""
        return self._text.text()


class Figure(QWidget):
    """One figure, what it is, and the words that unfold how it was found."""

    asked = Signal()

    def __init__(self) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self.figure = label("", "figure")
        self.figure.setWordWrap(False)
        self.caption = label("", "quiet")
        self.link = button(LINK, self.asked.emit, "link")
        column.addWidget(self.figure)
        said = QHBoxLayout()
        said.setSpacing(8)
        said.addWidget(self.caption, 1)
        said.addWidget(self.link, 0, Qt.AlignmentFlag.AlignTop)
        column.addLayout(said)
        column.addStretch(1)

    def show_figure(self, shown: Shown, unfolded: bool) -> None:
        """Show a figure, and whether how it was found stands unfolded below."""
        self.figure.setText(shown.figure)
        self.figure.setAccessibleName(f"{shown.key}: {shown.figure}")
        self.caption.setText(shown.caption.replace("-", "\u2011"))
        restyle(self.figure, "bad", "true" if shown.bad else "false")
        self.link.setText(f"{LINK}  ▴" if unfolded else LINK)
        self.link.setAccessibleName(f"{shown.key}: {HOW}, {'unfolded' if unfolded else 'folded'}")


class Figures(QWidget):
    """All figures in rows, and under them how the chosen one was found."""

    def __init__(self) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(GAP)
        self._grid.setVerticalSpacing(12)
        column.addLayout(self._grid)
        self.how = How()
        column.addWidget(self.how)
        self._shown: list[Shown] = []
        self._unfolded = ""
        self.cells: list[Figure] = []

    def show_results(self, results: Results) -> None:
        """Show the figures of a plan; what was unfolded stays so."""
        self._shown = figures_of(results)
        while len(self.cells) < len(self._shown):
            cell = Figure()
            cell.asked.connect(partial(self._turn, len(self.cells)))
            self.cells.append(cell)
        self._place()
        self._fill()

    def _turn(self, number: int) -> None:
        key = self._shown[number].key
        self._unfolded = "" if key == self._unfolded else key
        self._fill()

    def _fill(self) -> None:
        unfolded = None
        for cell, shown in zip(self.cells, self._shown, strict=False):
            cell.show_figure(shown, shown.key == self._unfolded)
            unfolded = shown if shown.key == self._unfolded else unfolded
        if unfolded is not None:
            self.how.tell(f"{unfolded.key}, {unfolded.figure}", unfolded.found)
        self.how.setVisible(unfolded is not None)

    def _place(self) -> None:
        columns = max(2, (self.width() + GAP) // (CELL + GAP))
        for number, cell in enumerate(self.cells):
            self._grid.addWidget(cell, number // columns, number % columns)
            cell.setVisible(number < len(self._shown))
        for column in range(self._grid.columnCount()):
            self._grid.setColumnStretch(column, 1 if column < columns else 0)
            self._grid.setColumnMinimumWidth(column, CELL if column < columns else 0)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._place()
        super().resizeEvent(event)
