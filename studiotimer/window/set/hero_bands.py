"""The heroes on set as thin bands beside the time: what is drawn of each, in seconds from the first hero in. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from studiotimer.session.countdowns import Forecast, HeroForecast
from studiotimer.session.cue import Cue
from studiotimer.session.state import State
from studiotimer.units import duration
from studiotimer.window import theme
from studiotimer.window.ribbon import Ribbon, RibbonBand, stage_colour
from studiotimer.window.set import face
from studiotimer.window.set.flavours import Palette


class HeroBand(NamedTuple):
    """One hero: its scoop, its stages, its dressing and its own window; all in seconds from the first hero in.

    `swap` is when it is to be swapped, NaN where it is not cued.
    """

    number: str
    flavour: str
    spot: str
    colour: str
    band: RibbonBand
    dressed: float
    opens: float
    ends: float
    swap: float
    left: str
    left_colour: str


class HeroBands(NamedTuple):
    """Every band, the one that ends first, now and the whole span."""

    bands: tuple[HeroBand, ...]
    first: int
    now: float
    span: float
    heroes: bool = True
    asks: str = ""
    """What is asked at their end."""

    @property
    def words(self) -> str:
        """What a reader says of them."""
        each = "; ".join(f"{one.band.words}" + (f" {one.left} left" if one.left else "") for one in self.bands)
        ends = self.bands[self.first].ends
        end = f"window ends {duration(ends)}" if self.heroes and math.isfinite(ends) else "no end"
        feet = ", ".join(
            f"{one.number} foot {duration(one.band.foot)}" for one in self.bands if math.isfinite(one.band.foot)
        )
        poured = [(one.number, one.band.runs[-1][1]) for one in self.bands if one.band.runs]
        runs = ", ".join(f"{number} sauce runs to {duration(until)}" for number, until in poured)
        said = (f"now {duration(self.now)}", end, feet, runs, self.asks)
        return f"melt ribbon of {each}: {', '.join(part for part in said if part)}"


def hero_bands(
    forecast: Forecast | None, state: State, found: Sequence[Cue], now: float, palette: Palette
) -> HeroBands | None:
    """Return the bands of the heroes on set, of the stand-ins where there is no hero; None without either."""
    on_set = forecast.heroes if forecast else ()
    shown = [hero for hero in on_set if hero.hero] or list(on_set)
    if forecast is None or not shown:
        return None
    ribbon = Ribbon.of(shown, forecast.window, now)
    zero = min(hero.since for hero in shown)
    swaps = {int(cue.given["out"]): cue.due for cue in found if cue.kind == "swap"}
    dressing = state.shot.dressing_s if state.shot else 0.0
    bands = tuple(
        _band(hero, band, zero, dressing if hero.hero else 0.0, swaps.get(hero.scoop, math.nan), now, palette)
        for hero, band in zip(shown, ribbon.bands, strict=True)
    )
    ended_by = forecast.window.ended_by if forecast.window else shown[0].scoop
    first = next((index for index, hero in enumerate(shown) if hero.scoop == ended_by), 0)
    return HeroBands(bands, first, ribbon.now, ribbon.span, any(hero.hero for hero in shown), ribbon.asks)


def _band(
    hero: HeroForecast, band: RibbonBand, zero: float, dressing: float, swap: float, now: float, palette: Palette
) -> HeroBand:
    ended = hero.end.likely <= now
    colour = theme.lightened(stage_colour(face.stage_at(hero, now))) if ended else theme.CREAM
    endless = not math.isfinite(hero.end.likely)
    left = "" if not hero.hero else "over 3 h" if endless else face.figures(hero.end.likely - now)
    since = hero.since - zero
    return HeroBand(
        str(hero.scoop), hero.flavour, hero.spot if hero.hero else "stand-in", palette.colour(hero.flavour), band,
        since + dressing,
        hero.start.likely - zero if hero.hero else math.inf, hero.end.likely - zero if hero.hero else math.inf,
        swap - zero, left, colour,
    )  # fmt: skip
