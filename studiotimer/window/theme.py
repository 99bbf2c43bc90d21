"""The look in one place: colours, type, spacing, and the style sheet made from them."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import TYPE_CHECKING, Literal, NamedTuple

from PySide6.QtGui import QColor, QFont, QFontDatabase, QFontMetricsF

from studiotimer.places import resource

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

INK = "#12171A"
PANEL = "#1C2429"
RAISED = "#27323A"
CREAM = "#F4EDE0"
PAPER = "#FAF6EF"
FROST = "#9CCBDC"
CRISP = "#CFE1DF"
CUSTARD = "#F0D9A6"
CARAMEL = "#D98B3A"
CHERRY = "#C13B4A"
SLUMPED = "#6E2531"
"""Where scoops wait, in the timeline."""
CHEVRON = "#7E817E"
SLATE = "#35525E"
"""How far something is, on a dark page."""
FADED_INK = "#4A4F50"
"""Quiet words on cream."""

Weight = Literal["regular", "medium", "strong"]
_WEIGHTS: dict[Weight, QFont.Weight] = {
    "regular": QFont.Weight.Normal,
    "medium": QFont.Weight.Medium,
    "strong": QFont.Weight.DemiBold,
}
_NAMED: dict[QFont.Weight, Weight] = {weight: name for name, weight in _WEIGHTS.items()}

SMALL, BODY, LARGE, TITLE = 13, 15, 20, 28
"""The type scale, in logical pixels; what is larger is the display sizes of Set, the crew screen and the start page."""

BUTTON, CORNER, FIELD = 40, 10, 34
"""How high a button of a page by day is, how round its corners, and how high a field is, in logical pixels."""

GAP = 8
"""The unit of space; everything stands a multiple of it apart."""

MARGIN, GUTTER, BAR = 4 * GAP, 4 * GAP, 10
"""The grid of all pages: how far what stands on one is from the window's sides, and its columns from one another.

What scrolls reaches to the window's side, and its bar, so wide, stands there: nothing moves when one comes.
"""
ABOVE, BELOW = GAP, 2 * GAP
"""How far a page's parts are from the strip over it, and from the window's lower side."""
RAIL, READING, WIDEST_READ = 54 * GAP, 110 * GAP, 78 * GAP
"""How wide the column is that stands beside a page's main one, how wide questions are at most, and words to read."""

RADIUS = 12
TARGET = 80
"""Least width and height of a target on the call bar: 18 mm on a 13-inch laptop at 1280 x 800."""


_zoom = 1.0


def zoom() -> float:
    """Return how many times as large as usual this run draws everything.

    Logical pixels are that much larger. The Set page, which fills its window whatever that has, divides by it.
    """
    return _zoom


def unzoomed(pixels: float) -> float:
    """Return a length in logical pixels that is the same on the screen however large this run draws."""
    return pixels / _zoom


def target() -> int:
    """Return the least width and height of a target, the same on the screen however large this run draws."""
    return round(unzoomed(TARGET))


def filling(width: float, height: float) -> float:
    """Return how many times as large as at 1240 x 800 what fills a window of that size is drawn."""
    return min(max(min(height / 800, width / 1240), unzoomed(0.8)), unzoomed(2.4))


def set_zoom(times: float) -> None:
    """Say how large this run draws everything; before any window is made."""
    global _zoom
    _zoom = times


class Theme(NamedTuple):
    """The colours of one variant, dark for a session, light for the days before and after."""

    name: Literal["dark", "light"]
    ground: str
    panel: str
    raised: str
    text: str
    quiet: str
    accent: str
    warning: str
    danger: str
    line: str

    def colour(self, name: str) -> QColor:
        """Return one of the theme's colours by its field's name."""
        return QColor(getattr(self, name))


DARK = Theme("dark", INK, PANEL, RAISED, CREAM, "#A9A89F", FROST, "#E5A45C", "#E8818C", "#2E3A42")
LIGHT = Theme("light", PAPER, "#FFFFFF", "#F1EADD", INK, "#5F625F", "#2B6F87", "#8A4A10", "#A52A39", "#DED5C4")


def under(ink: QColor) -> Theme:
    """Return the theme that writes in `ink`: the dark one where that is light."""
    return DARK if ink.lightness() > 127 else LIGHT


def luminance(colour: str) -> float:
    """Return the relative luminance of a colour, 0 to 1 (WCAG 2.2)."""

    def linear(part: float) -> float:
        return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4

    parts = QColor(colour)
    return 0.2126 * linear(parts.redF()) + 0.7152 * linear(parts.greenF()) + 0.0722 * linear(parts.blueF())


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours, 1 to 21 (WCAG 2.2)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@cache
def lightened(colour: str, ground: str = INK, wanted: float = 7.0) -> str:
    """Return a colour with as little white in it as it takes to stand out on a ground, and no less than `wanted`."""
    given = QColor(colour)
    for percent in range(101):
        mixed = QColor(
            *(round(part + (255 - part) * percent / 100) for part in (given.red(), given.green(), given.blue()))
        ).name()
        if contrast(mixed, ground) >= wanted:
            return mixed
    return "#ffffff"


@cache
def _load_fonts() -> str:
    """Load the shipped typeface and return its family's name."""
    family = ""
    for weight in ("Regular", "Medium", "SemiBold"):
        number = QFontDatabase.addApplicationFont(str(resource("fonts", f"Inter-{weight}.otf")))
        if number >= 0 and weight == "Regular":
            family = QFontDatabase.applicationFontFamilies(number)[0]
    return family or QFont().family()


def font(pixels: float, weight: Weight = "regular") -> QFont:
    """Return the program's typeface at a size in logical pixels, its figures all of one width."""
    return _font(max(round(pixels), 1), weight)


def weight_of(font: QFont) -> Weight:
    """Return the weight of one of the program's fonts."""
    return _NAMED[font.weight()]


def wide(words: str, pixels: float, weight: Weight = "regular") -> float:
    """Return how wide words are in the program's typeface at a size, both in logical pixels."""
    return _wide(words, max(round(pixels), 1), weight)


@lru_cache(maxsize=2048)
def _wide(words: str, pixels: int, weight: Weight) -> float:
    return QFontMetricsF(_font(pixels, weight)).horizontalAdvance(words)


@cache
def _font(pixels: int, weight: Weight) -> QFont:
    chosen = QFont(_load_fonts())
    chosen.setPixelSize(pixels)
    chosen.setWeight(_WEIGHTS[weight])
    chosen.setFeature(QFont.Tag("tnum"), 1)
    return chosen


def style(theme: Theme) -> str:
    """Return the style sheet of a theme, for the plain controls; painted widgets read the theme themselves."""
    return f"""
    QWidget {{ background: {theme.ground}; color: {theme.text}; font-family: "{_load_fonts()}"; font-size: {BODY}px; }}
    QLabel, QCheckBox, QRadioButton {{ background: transparent; }}
    QLabel[role="quiet"] {{ color: {theme.quiet}; font-size: {SMALL}px; }}
    QLabel[role="warning"] {{ color: {theme.warning}; font-size: {SMALL}px; }}
    QLabel[role="title"] {{ font-size: {TITLE}px; font-weight: 600; }}
    QLabel[role="large"] {{ font-size: {LARGE}px; font-weight: 600; }}
    QPushButton {{ background: {theme.raised}; border: 2px solid transparent; border-radius: {RADIUS}px;
        padding: 10px 18px; font-weight: 500; text-align: center; }}
    QPushButton:hover {{ background: {theme.line}; }}
    QPushButton:focus {{ border-color: {theme.accent}; }}
    QPushButton:disabled {{ color: {theme.quiet}; }}
    QPushButton[role="main"] {{ background: {theme.text}; color: {theme.ground}; font-weight: 600; }}
    QPushButton[role="plain"] {{ background: transparent; text-align: left; padding: 6px 8px; }}
    QPushButton:checked {{ background: {theme.text}; color: {theme.ground}; }}
    QLineEdit, QComboBox, QPlainTextEdit, QSpinBox {{ background: {theme.panel}; border: 2px solid {theme.line};
        border-radius: {RADIUS // 2}px; padding: 7px 10px; selection-background-color: {theme.accent};
        selection-color: {theme.ground}; }}
    QLineEdit:focus, QComboBox:focus, QPlainTextEdit:focus {{ border-color: {theme.accent}; }}
    QComboBox::drop-down {{ border: none; width: 20px; }}
    QComboBox::down-arrow {{ image: none; }}
    QComboBox QAbstractItemView {{ background: {theme.panel}; selection-background-color: {theme.raised};
        selection-color: {theme.text}; }}
    QToolTip {{ background: {theme.raised}; color: {theme.text}; border: none; padding: 6px; }}
    QScrollBar:vertical {{ background: transparent; width: {BAR}px; }}
    QScrollBar::handle:vertical {{ background: {theme.line}; border-radius: 5px; min-height: 24px; }}
    QScrollBar::add-line, QScrollBar::sub-line {{ height: 0; width: 0; }}
    QAbstractScrollArea::corner {{ background: transparent; border: none; }}
    QScrollBar:horizontal {{ background: transparent; height: {BAR}px; }}
    QScrollBar::handle:horizontal {{ background: {theme.line}; border-radius: 5px; min-width: 24px; }}
    """


def give_sheet(widget: QWidget, sheet: str) -> None:
    """Give a widget a style sheet, unless it has that one: Qt would draw everything in it anew."""
    if widget.styleSheet() != sheet:
        widget.setStyleSheet(sheet)
