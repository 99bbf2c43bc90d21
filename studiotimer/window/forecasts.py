"""Forecasts worked out aside, one after another; one that does not come to an end is found out and left to itself."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING

from studiotimer import hops
from studiotimer.prep.plan import Plan
from studiotimer.session.collector import lasting
from studiotimer.session.countdowns import Forecast
from studiotimer.session.state import State
from studiotimer.window.aside import Aside

if TYPE_CHECKING:
    from studiotimer.session.forecast import Forecaster
    from studiotimer.session.learning import Learned

RESTS = 2.0
FIRST_S, HUNG_S, FEET_S = 15.0, 2.0, 10.0
"""From when on work hangs: the first forecast, which brings the physics, any other, and the feet of many scoops."""
GIVEN_UP_S = 6.0
"""From when on one that hangs is left to itself, and another worker begins anew."""
MOST_LEFT = 3
"""How many may be left to themselves at a time: each may take a processor."""


class _AtWork:
    """A forecaster with workers of its own."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._forecaster: Forecaster | None = None
        self._one_at_a_time = threading.Lock()
        self.aside = Aside("forecasts", rests=RESTS)
        self.feet = Aside("feet", rests=RESTS)

    @property
    def busy(self) -> bool:
        return self.aside.busy or self.feet.busy

    def learned(self, state: State) -> Learned:
        from studiotimer.session.climate import Climate

        with self._one_at_a_time:
            return self._made().learner.learned(state, Climate(state, self._plan))

    def forecast(self, state: State, at: float) -> Forecast:
        with self._one_at_a_time:
            return self._made().forecast(state, at)

    def work_out_feet(self, then: Callable[[object], object]) -> None:
        """Work out the feet that are not known, beside what else is asked for."""
        feet = self._forecaster.feet if self._forecaster is not None else None
        if feet is not None and feet.wanted:
            self.feet.ask("feet", feet.work_out, then)

    def end(self) -> None:
        self.aside.end()
        self.feet.end()

    def _made(self) -> Forecaster:
        if self._forecaster is None:
            self._forecaster = _forecaster()(self._plan)
        return self._forecaster


@cache
def _forecaster() -> type[Forecaster]:
    """Return what works out forecasts: it brings the physics, which the window opens without, and which stays."""
    with lasting():
        from studiotimer.session.forecast import Forecaster
    return Forecaster


class Forecasts:
    """Works out forecasts, always of the newest state, and what looks taught.

    After each it leaves the window most of the processor, since calls come one after another.
    """

    def __init__(self, plan: Plan, done: Callable[[Forecast], object]) -> None:
        self._plan, self._done = plan, done
        self._at_work = _AtWork(plan)
        self._left: list[_AtWork] = []
        self._wanted: tuple[State, float] | None = None
        self._any = self._ended = False
        self._asked = self._begun = 0
        """The number of the forecast asked for last, and of the one begun last."""
        self.hung = False
        """Whether the forecast that was asked for does not come to an end; until there is one."""

    def learned(self, state: State) -> Learned:
        """Return what the looks of a session taught; what was worked out for forecasts is not worked out again.

        For a worker: a forecast may be under way, whose end it waits for.
        """
        return self._at_work.learned(state)

    def want(self, state: State, at: float, why: str) -> None:
        """Ask for a forecast; one asked for before and not begun is dropped.

        Feet that it does not know are worked out beside it, by a worker of their own, and it is made again with them.
        """
        self._wanted = state, at
        self._asked += 1
        one, number = self._at_work, self._asked
        hops.note("forecast", "%d asked: %s", number, why)

        def told(made: Forecast) -> None:
            self._told(one, made, state, at)
            hops.note("forecast", "%d shown%s", number, f"; {self._asked} is asked for" * (self._asked > number))

        one.aside.ask("a forecast", lambda: self._made(one, state, at, number), told)

    def look(self) -> None:
        """Find out whether a forecast hangs, and begin anew beside one that does; to be asked a few times a second."""
        held, feet = self._at_work.aside.under_way_s, self._at_work.feet.under_way_s
        hangs = held > (HUNG_S if self._any else FIRST_S) or feet > FEET_S
        self.hung = self.hung or hangs
        self._left = [one for one in self._left if one.busy]
        if hangs and max(held, feet) > GIVEN_UP_S and len(self._left) < MOST_LEFT and not self._ended:
            self._at_work.end()
            hops.note("forecast", "%d left to itself: it does not come to an end", self._begun)
            self._left.append(self._at_work)
            self._at_work = _AtWork(self._plan)
            if self._wanted is not None:
                self.want(*self._wanted, "the one before hangs")

    def end(self) -> None:
        """Stop after the forecast under way, which is told to nobody."""
        self._ended = True
        self._at_work.end()

    def _made(self, one: _AtWork, state: State, at: float, number: int) -> Forecast:
        """Work out a forecast; in a worker's thread."""
        for dropped in range(self._begun + 1, number):
            hops.note("forecast", "%d dropped: %d took its place before it was begun", dropped, number)
        self._begun = number
        hops.note("forecast", "%d begun", number)
        began = time.perf_counter()
        try:
            made = one.forecast(state, at)
        except Exception as error:
            hops.note("forecast", "%d failed: %s", number, type(error).__name__)
            raise
        hops.note("forecast", "%d done in %.1f ms", number, (time.perf_counter() - began) * 1000)
        if self._ended or one is not self._at_work:
            hops.note("forecast", "%d dropped as stale: nobody waits for it any more", number)
        return made

    def _told(self, one: _AtWork, made: Forecast, state: State, at: float) -> None:
        self._any, self.hung = True, False
        self._done(made)
        one.work_out_feet(lambda _: self.want(state, at, "feet are known"))
