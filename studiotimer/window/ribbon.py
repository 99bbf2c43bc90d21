"""The melt ribbon: a hero's stages along time, drawn by one routine for every surface."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QLinearGradient, QPainter, QPainterPath, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from studiotimer.prep.looks import PACK_STAGES, STAGES
from studiotimer.units import duration
from studiotimer.window import theme
from studiotimer.window.chart import Chart, Scale, Words, marks, time_step, upright, write_in

if TYPE_CHECKING:
    from studiotimer.session.countdowns import Band, HeroForecast, ShotWindow

STAGE_COLOURS = {
    "frosted": theme.FROST,
    "matte": theme.CRISP,
    "sheen": theme.CUSTARD,
    "edges gone": theme.CARAMEL,
    "dripping": theme.CHERRY,
    "slumped": theme.SLUMPED,
}
PACK_COLOURS = dict(zip(PACK_STAGES, (theme.CRISP, theme.FROST, theme.CUSTARD, theme.CHERRY), strict=True))
"""Of a closed pack's wall: dry, frosted, dewy, running."""
_COLOURS = STAGE_COLOURS | PACK_COLOURS
_TEXTURES = {
    "running": Qt.BrushStyle.VerPattern,
    "edges gone": Qt.BrushStyle.BDiagPattern,
    "dripping": Qt.BrushStyle.VerPattern,
    "slumped": Qt.BrushStyle.DiagCrossPattern,
}
_ON_DARK = ("dripping", "slumped", "running")
"""The stages whose colour takes light words."""
MOST_MARKS, LEAST_STEP_S = 8, 10
AXIS_HEIGHT = 22.0
TOP_HEIGHT = 20.0
MOST_BANDS_HEIGHT = 6 * 28.0
WIDEST_NAMES = 0.2


STANDS_ON = "what does it stand on?"


class RibbonBand(NamedTuple):
    """One hero's band: its words, and when each stage begins (seconds from the ribbon's zero)."""

    words: str
    starts: tuple[float, ...]
    stand_in: bool = False
    foot: float = math.nan
    """When liquid shows round its base; NaN where that is not known, infinite where it does not come."""
    stages: tuple[str, ...] = STAGES
    """What begins at each of its starts."""
    runs: tuple[tuple[float, float], ...] = ()
    """From when to when each sauce poured on it runs."""

    @staticmethod
    def of(hero: HeroForecast, zero: float) -> RibbonBand:
        """Return the band of a hero on a ribbon that begins at session second `zero`."""
        starts = [hero.since - zero]
        for band in hero.changes.begun:
            starts.append(max(band.likely - zero, starts[-1]))
        where = f"{hero.spot}, " if hero.hero and hero.spot != hero.flavour else ""
        name = f"{hero.scoop} {where}{hero.flavour}" if hero.hero else f"stand-in {hero.scoop} {hero.flavour}"
        foot = hero.foot.likely - zero if hero.foot is not None else math.nan
        runs = tuple((pour.at - zero, pour.until - zero) for pour in hero.pours)
        return RibbonBand(name, tuple(starts), not hero.hero, foot, hero.changes.stages, runs)


class Ribbon(NamedTuple):
    """All that is drawn: bands, now, the window and its soft end, in seconds from zero to `span`.

    A ribbon of what is not on set yet has no now (it is NaN).
    """

    bands: tuple[RibbonBand, ...]
    now: float
    start: float
    end: Band
    span: float
    asks: str = ""
    """What is asked at its end."""

    @staticmethod
    def foretold(
        words: str, starts: tuple[float, ...], start: float, end: Band, stages: tuple[str, ...] = STAGES
    ) -> Ribbon:  # fmt: skip
        """Return the ribbon of one hero that is not on set yet."""
        bands = (RibbonBand(words, starts, stages=stages),)
        return Ribbon(bands, math.nan, start, end, _span(bands, end, 0.0))

    @staticmethod
    def of(scoops: Sequence[HeroForecast], window: ShotWindow | None, now: float) -> Ribbon:
        """Return the ribbon of the scoops on set, which begins when the first came in.

        Stand-ins alone have no window; it is drawn as one that never comes.
        """
        from studiotimer.session.countdowns import NEVER, Band  # brings the scoops, which come with a session

        zero = min(scoop.since for scoop in scoops)
        bands = tuple(RibbonBand.of(scoop, zero) for scoop in scoops)
        start, end = (window.start, window.end) if window else (NEVER, NEVER)
        end = Band(end.early - zero, end.likely - zero, end.late - zero)
        asks = "" if all(scoop.on_something for scoop in scoops) else STANDS_ON
        return Ribbon(bands, now - zero, start.likely - zero, end, _span(bands, end, now - zero), asks)


def stage_colour(stage: str) -> str:
    """Return the colour of a stage, of a scoop or of a closed pack."""
    return _COLOURS[stage]


def stage_ink(stage: str) -> QColor:
    """Return the colour of words on a stage's."""
    return QColor(theme.CREAM if stage in _ON_DARK else theme.INK)


def paint_stage(painter: QPainter, box: QRectF, stage: str, strength: int = 36, frost: bool = False) -> None:
    """Fill a box as a stage: its colour, and over it a texture of `strength` (of 255) that tells it without colour."""
    painter.fillRect(box, QColor(stage_colour(stage)))
    texture = Qt.BrushStyle.Dense6Pattern if frost and stage == "frosted" else _TEXTURES.get(stage)
    if texture is not None and box.width() > 3:
        shade = QColor(theme.CREAM if stage == "slumped" else theme.INK)
        shade.setAlpha(strength)
        painter.fillRect(box, QBrush(shade, texture))


def _span(bands: Sequence[RibbonBand], end: Band, now: float) -> float:
    """Return how many seconds the ribbon shows: past the window's soft end and now, and some of what follows."""
    finite = [time for band in bands for time in band.starts[:5] if math.isfinite(time)]
    wanted = [time * 1.35 for time in (end.likely, now) if math.isfinite(time)]
    wanted += [end.late * 1.05] if math.isfinite(end.late) else []
    wanted += [max(finite, default=0.0) * 1.12]
    most = 2.6 * end.likely if math.isfinite(end.likely) else 3600.0
    return max(min(max(wanted), most), now * 1.1, 60.0)


def paint_ribbon(
    painter: QPainter, area: QRectF, ribbon: Ribbon, text: QColor, quiet: QColor, scale: float = 1.0
) -> None:
    """Draw a ribbon into `area`: the bands between a line for now above and the time axis below."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    font = theme.font(theme.SMALL * scale, "strong")
    widest = max(theme.wide(band.words, theme.SMALL * scale, "strong") for band in ribbon.bands)
    column = min(widest + 14 * scale, area.width() * WIDEST_NAMES)
    body = area.adjusted(column, TOP_HEIGHT * scale, 0, -AXIS_HEIGHT * scale)
    count = len(ribbon.bands)
    gap = min(6.0 * scale, body.height() / count * 0.2) if count > 1 else 0.0
    height = (body.height() - gap * (count - 1)) / count
    along = Scale(0.0, ribbon.span, body.left(), body.right())
    for index, band in enumerate(ribbon.bands):
        box = QRectF(body.x(), body.y() + index * (height + gap), body.width(), height)
        name = QRectF(area.x(), box.y(), column - 10 * scale, box.height())
        write_in(painter, name, band.words, text, font)
        paint_band(painter, box, band, along, scale, ribbon.now)
        paint_foot(painter, box, band, along, scale)
        paint_runs(painter, box, band, along, scale)
    _paint_window(painter, body, ribbon, along, text, scale)
    _paint_above(painter, body, ribbon, along, text, quiet, scale)
    _paint_axis(painter, body, ribbon, along, quiet, scale)


def paint_runs(painter: QPainter, box: QRectF, band: RibbonBand, along: Scale, scale: float) -> None:
    """Mark the span in which a sauce runs by a drop where it was poured and a line along the top of its band."""
    for begins, ends in band.runs:
        x, end = along.within(begins), along.within(ends)
        if end <= x:
            continue
        y, drop = box.y() + 3.0 * scale, 4.0 * scale
        for colour, wide in ((theme.INK, 5.0), (theme.CREAM, 2.5)):
            painter.setPen(QPen(QColor(colour), wide * scale))
            painter.drawLine(QPointF(x, y), QPointF(end, y))
        painter.setPen(QPen(QColor(theme.INK), 1.5 * scale))
        painter.setBrush(QColor(theme.CREAM))
        painter.drawEllipse(QPointF(x, y + drop / 2), drop, drop * 1.3)
        painter.setBrush(Qt.BrushStyle.NoBrush)


def paint_foot(painter: QPainter, box: QRectF, band: RibbonBand, along: Scale, scale: float) -> None:
    """Mark a foot by half a puddle at the foot of its band."""
    x = along.at(band.foot)
    if not math.isfinite(x) or not box.left() <= x <= box.right():
        return
    wide, high = 9.0 * scale, min(7.0 * scale, box.height() / 2)
    puddle = QPainterPath()
    puddle.moveTo(x - wide, box.bottom())
    puddle.arcTo(QRectF(x - wide, box.bottom() - high, 2 * wide, 2 * high), 180, -180)
    puddle.closeSubpath()
    painter.setPen(QPen(QColor(theme.CREAM), 1.5 * scale))
    painter.setBrush(QColor(theme.INK))
    painter.drawPath(puddle)
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _paint_above(
    painter: QPainter, body: QRectF, ribbon: Ribbon, along: Scale, text: QColor, quiet: QColor, scale: float
) -> None:
    """Draw now, say it above, and ask at the ribbon's end where that leaves room."""
    above = Words(painter, body.left(), body.right(), body.top() - 7.5 * scale)
    if math.isfinite(ribbon.now):
        x = along.within(ribbon.now)
        upright(painter, x, body.top() - 3 * scale, body.bottom() + 5 * scale, QPen(QColor(theme.INK), 7 * scale))
        upright(painter, x, body.top() - 5 * scale, body.bottom() + 7 * scale, QPen(text, 3 * scale))
        above.write(x, f"now {duration(ribbon.now)}", text, theme.font(theme.SMALL * scale, "medium"))
    if ribbon.asks:
        above.write(body.right(), ribbon.asks, quiet, theme.font(theme.SMALL * scale), before=1.0)


def paint_band(
    painter: QPainter, box: QRectF, band: RibbonBand, along: Scale, scale: float, now: float, words: bool = True
) -> None:
    """Draw one hero's stages into `box`, which is the whole of `along`; `now` in seconds from the ribbon's zero."""
    shape = QPainterPath()
    radius = min(box.height() / 2, 14.0 * scale)
    shape.addRoundedRect(box, radius, radius)
    painter.save()
    painter.setClipPath(shape)
    painter.setOpacity(0.55 if band.stand_in else 1.0)
    painter.fillRect(box, QColor(theme.DARK.panel))
    for stage, start, end in zip(band.stages, band.starts, (*band.starts[1:], math.inf), strict=True):
        left, right = along.within(start), along.within(end)
        if right - left < 0.5:
            continue
        part = QRectF(left, box.y(), right - left, box.height())
        paint_stage(painter, part, stage, frost=True)
        if words:
            _paint_stage_words(painter, part, stage, scale, along.at(now))
    painter.restore()


def _paint_stage_words(painter: QPainter, part: QRectF, stage: str, scale: float, now_x: float) -> None:
    """Write a stage's name at its left end, past the line for now, if it has room there."""
    size = min(max(part.height() * 0.46, theme.unzoomed(theme.SMALL)), (theme.BODY - 1) * scale)
    left = part.left() + 9 * scale
    if left - 6 * scale <= now_x:
        left = now_x + 10 * scale
    box = QRectF(left, part.y(), part.right() - 4 * scale - left, part.height())
    write_in(painter, box, stage, stage_ink(stage), theme.font(size, "strong"), whole=True)


def _paint_window(painter: QPainter, body: QRectF, ribbon: Ribbon, along: Scale, text: QColor, scale: float) -> None:
    """Mark the shot's window by a rule under the bands that fades over its 10 to 90 % end."""
    if not math.isfinite(ribbon.end.likely):
        return
    left, early, right, late = (
        along.within(at) for at in (ribbon.start, ribbon.end.early, ribbon.end.likely, ribbon.end.late)
    )
    if late > left:
        fading = QLinearGradient(left, 0, late, 0)
        clear = QColor(text)
        clear.setAlpha(0)
        half = QColor(text)
        half.setAlpha(150)
        fading.setColorAt(0.0, text)
        fading.setColorAt(min(max((early - left) / (late - left), 0.0), 0.98), text)
        fading.setColorAt(min(max((right - left) / (late - left), 0.01), 0.99), half)
        fading.setColorAt(1.0, clear)
        painter.fillRect(QRectF(left, body.bottom() + 3 * scale, late - left, 4 * scale), QBrush(fading))
    upright(painter, right, body.y(), body.bottom(), QPen(QColor(theme.INK), 4 * scale))
    dots = QPen(QColor(theme.CREAM), 2 * scale, Qt.PenStyle.DotLine)
    upright(painter, right, body.y(), body.bottom() + 7 * scale, dots)


def _paint_axis(painter: QPainter, body: QRectF, ribbon: Ribbon, along: Scale, quiet: QColor, scale: float) -> None:
    font, end = theme.font(theme.SMALL * scale), ribbon.end.likely
    times = Words(painter, body.left(), body.right(), body.bottom() + 20 * scale, 10 * scale)
    if math.isfinite(end) and end <= ribbon.span:
        times.write(along.at(end), f"window ends {duration(end)}", quiet, font)
    for at in marks(ribbon.span, time_step(ribbon.span, MOST_MARKS, LEAST_STEP_S)):
        times.write(along.at(at), duration(at), quiet, font)


class RibbonView(Chart):
    """The ribbon of the heroes on set."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(theme.DARK, parent)
        self._ribbon: Ribbon | None = None
        self._empty = ""
        self._scale = 1.0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("melt ribbon: no hero on set")

    def show_ribbon(self, ribbon: Ribbon | None, empty: str = "") -> None:
        """Show a ribbon, or words for an empty set."""
        if ribbon == self._ribbon and empty == self._empty:
            return
        bands = len(ribbon.bands) if ribbon else 1
        if bands != (len(self._ribbon.bands) if self._ribbon else 1):
            self.updateGeometry()
        self._ribbon, self._empty = ribbon, empty
        if ribbon is not None:
            end = f"window ends {duration(ribbon.end.likely)}" if math.isfinite(ribbon.end.likely) else "no end"
            names = "; ".join(band.words for band in ribbon.bands)
            now = f"now {duration(ribbon.now)}, " if math.isfinite(ribbon.now) else ""
            feet = "".join(f", foot {duration(one.foot)}" for one in ribbon.bands if math.isfinite(one.foot))
            asks = f", {ribbon.asks}" if ribbon.asks else ""
            self.setAccessibleName(f"melt ribbon of {names}: {now}{end}{feet}{asks}")
        else:
            self.setAccessibleName(f"melt ribbon: {empty}")
        self.update()

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        bands = len(self._ribbon.bands) if self._ribbon else 1
        height = 40.0 if bands == 1 else min(bands * 28.0, MOST_BANDS_HEIGHT)
        return QSize(600, round((height + TOP_HEIGHT + AXIS_HEIGHT) * self._scale))

    def paint(self, painter: QPainter, area: QRectF) -> None:
        """Draw the ribbon, or an empty one with what is said of it."""
        text, quiet = self.colours.colour("text"), self.colours.colour("quiet")
        if self._ribbon is not None:
            paint_ribbon(painter, area, self._ribbon, text, quiet, self._scale)
            return
        painter.setPen(QPen(self.colours.colour("line"), 2, Qt.PenStyle.DashLine))
        box = area.adjusted(1, TOP_HEIGHT * self._scale, -1, -AXIS_HEIGHT * self._scale)
        painter.drawRoundedRect(box, 14, 14)
        font = theme.font(theme.SMALL * self._scale)
        write_in(painter, box, self._empty, quiet, font, place=Qt.AlignmentFlag.AlignCenter)
