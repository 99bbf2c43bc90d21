"""The program's own icons, drawn in the colour and size wanted."""

from __future__ import annotations

from functools import cache

from PySide6.QtCore import QByteArray, QRectF
from PySide6.QtGui import QIcon, QPainter
from PySide6.QtSvg import QSvgRenderer

from studiotimer.places import MissingResourceError, resource


def paint_icon(painter: QPainter, name: str, box: QRectF, colour: str) -> None:
    """Draw an icon into `box`; a call that has none is drawn without."""
    renderer = _renderer(name, colour)
    if renderer is not None:
        renderer.render(painter, box)


def program_icon() -> QIcon:
    """Return the icon of the program's windows."""
    return QIcon(str(resource("icons", "studiotimer.svg")))


@cache
def _renderer(name: str, colour: str) -> QSvgRenderer | None:
    try:
        drawing = resource("icons", f"{name}.svg").read_text(encoding="utf-8")
    except MissingResourceError:
        return None
    return QSvgRenderer(QByteArray(drawing.replace("currentColor", colour).encode()))
