"""What of the way to a crew that knows every truth no cue can go: crews that know it, but not all of it.

`Delayed` knows every truth, and its hands answer as late, and miss as often, as those of a crew that is cued.
`Informed` decides as who knows every truth does, at once, but by the session's forecasts: medians that are learned,
locks expected, pulls that are good until they are judged. `Foreseen` does what is cued, with hands that answer late, when
its forecasts are the truth.
"""

import math
from dataclasses import dataclass, field, replace

from studiotimer.session.countdowns import AHEAD_S, Band
from studiotimer.session.lining import locks_at
from studiotimer.trial.policies import MISSED_FOR_S, Cued
from studiotimer.trial.truth import TrueWindow
from tests.trial.oracle import Oracle, carried, tempers_s


@dataclass
class Delayed(Oracle):
    """Begins what it decides only after a person's delay; decides anew then."""

    _since: float | None = field(default=None)

    def _placed(self, crew, waiting):
        return self._answered(crew, lambda: super(Delayed, self)._placed(crew, waiting))

    def _answered(self, crew, begin):
        """Begin what is to be begun when it was to be begun for as long as an answer takes."""
        wanted = _would(crew, begin)
        if not wanted:
            self._since = None
            return False
        if self._since is None:
            missed = MISSED_FOR_S if crew.dice.happens("cue_missed") else 0.0
            self._since = crew.at + crew.dice.takes("respond_s") + missed
        if crew.at < self._since:
            return True
        self._since = None
        return begin()


def _would(crew, begin):
    """Whether something would be begun; nothing is."""
    place, out = crew.place, crew.out
    crew.place = crew.out = lambda *_, **__: None
    try:
        return begin()
    finally:
        crew.place, crew.out = place, out


@dataclass
class Informed(Oracle):
    """Decides by forecasts."""

    forecasts: bool = True

    def shooting(self, crew):
        return Cued.shooting(self, crew)

    def stands(self, crew, hero):
        known = crew.forecast.on_set(hero.number) if crew.forecast else None
        return TrueWindow(known.start.likely, known.end.likely) if known else TrueWindow(crew.at, crew.at + 60.0)

    def would_stand(self, crew, scoop):
        known = crew.forecast.waiting(scoop.number) if crew.forecast else None
        if known is None:
            return TrueWindow(math.inf, math.inf)
        at = crew.at + crew.carry_s
        start, end = known.placed(at)
        return TrueWindow(at + start, at + end)

    def tempers_s(self, crew, scoop):
        known = crew.forecast.waiting(scoop.number) if crew.forecast else None
        return known.temper_s - (crew.at - known.at) * (scoop.place == "tray") if known else 0.0

    def is_good(self, crew, scoop):
        return scoop.judged != "reject"

    def locked_at(self, crew):
        state = crew.session.state
        return locks_at(state) if sum(state.locks.values()) == 2 else math.inf


class Foreseen(Cued):
    """Does what is cued when its forecasts are the truth: what of the rest is due to rules and hands."""

    def act(self, crew):
        if crew.forecast is not None and crew.forecast is not self._told:
            crew.forecast = self._told = self._true(crew, crew.forecast)
        super().act(crew)

    _told = None

    @staticmethod
    def _true(crew, forecast):
        """Return the forecast with each window as it really will be."""
        state = crew.session.state
        heroes = []
        for hero in forecast.heroes:
            window = crew.true_window(hero.scoop)
            dressed = hero.since + float(crew.shot.dressing_s)
            start, end = _exactly(max(window.start, dressed)), _exactly(window.end)
            changes = replace(hero.changes, edges=end)
            heroes.append(replace(hero, start=start, end=end, changes=changes))
        line = [_true_line(crew, state, one) for one in forecast.line]
        line.sort(key=lambda one: one.start_s[0] - one.end_s[0])
        window = forecast.window
        if window is not None:
            start, end = max(one.start.likely for one in heroes), min(one.end.likely for one in heroes)
            last = min(heroes, key=lambda one: one.end.likely).scoop
            window = replace(window, start=_exactly(start), end=_exactly(end), ended_by=last)
        return replace(forecast, heroes=tuple(heroes), line=tuple(line), window=window)


def _exactly(at):
    return Band(at, at, at)


def _true_line(crew, state, one):
    scoop, ready = state.scoops[one.scoop], float(crew.shot.dressing_s)
    windows = [crew.truth.window(state, carried(scoop, one.at + ahead)) for ahead in AHEAD_S]
    starts = tuple(max(there.start - one.at - ahead, ready) for there, ahead in zip(windows, AHEAD_S, strict=True))
    ends = tuple(there.end - one.at - ahead for there, ahead in zip(windows, AHEAD_S, strict=True))
    tempers = tempers_s(crew.truth, state, scoop, one.at)
    return replace(one, start_s=starts, end_s=ends, temper_s=tempers)
