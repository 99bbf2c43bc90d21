"""What the ice cream of a simulated day really does: the model with a tau of the set, the mix and the scoop drawn."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from studiotimer.prep.looks import look_window, pack_starts
from studiotimer.prep.plan import Plan
from studiotimer.session.climate import Climate
from studiotimer.session.learning import mix_names
from studiotimer.session.product import Product
from studiotimer.session.scoops import Scoop
from studiotimer.session.state import State
from studiotimer.thermal import learn
from studiotimer.thermal.body import Piece
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.thermal.pack import Packed, sweats
from studiotimer.thermal.ruffle import Ruffle
from studiotimer.trial.luck import Dice
from studiotimer.trial.spans import WARM_K

NEVER = math.inf


@dataclass(frozen=True, slots=True)
class TrueWindow:
    """When a scoop on set really comes into the look's window and leaves it (session seconds)."""

    start: float
    end: float

    def holds(self, at: float) -> bool:
        """Whether the look is right at session second `at`."""
        return self.start <= at <= self.end


class Truth:
    """The hidden truth of one day; reading it needs the state of the session, which it never changes."""

    def __init__(self, plan: Plan, dice: Dice) -> None:
        self._plan = plan
        self._dice = dice
        self._warmer_k = WARM_K if dice.happens("freezer_door", 0) else 0.0
        self._mix_of = mix_names(plan, [flavour.name for flavour in plan.flavours])

    def tau(self, scoop: int, flavour: str) -> float:
        """Return a scoop's tau: the set's part, its mix's and its own."""
        mix = self._mix_of[flavour]
        of_mix = self._dice.normal("mix " + mix, 0) * learn.MIX_SD
        return self._dice.normal("set", 0) * learn.SET_SD + of_mix + self._dice.normal("scoop", scoop) * learn.SCOOP_SD

    def good(self, scoop: int) -> bool:
        """Whether the pull of that number came out well."""
        return self._dice.chance("good", float(self._plan.good_share), scoop)

    def window(self, state: State, scoop: Scoop) -> TrueWindow:
        """Return the window of a scoop on set."""
        start, end = look_window(state.shot.look if state.shot else "crisp", self.stages(state, scoop))
        return TrueWindow(start, end)

    def stages(self, state: State, scoop: Scoop) -> tuple[float, ...]:
        """Return when each of the stages of `prep.looks` begins (session seconds) of a scoop on set."""
        since = scoop.since
        if Product.of(self._plan, scoop.flavour).build.body.closed:
            look = state.shot.look if state.shot else "crisp"
            return pack_starts(look, self.wall(state, scoop), NEVER)
        climate, product, edge, slow = self._edge(state, scoop, since)
        around = climate.around("set", since, product, lit=True)
        crisp, sheen, edges, drip = product.stage_times(edge, around, np.array(slow)).tolist()
        gone = edges * math.exp(learn.RESIDUAL_SD["edges"] * self._dice.normal("edges", scoop.number))
        drip *= math.exp(learn.RESIDUAL_SD["first drip"] * self._dice.normal("first drip", scoop.number))
        gone = max(gone, sheen)
        return tuple(since + stage for stage in (0.0, crisp, sheen, gone, max(drip, gone), NEVER))

    def wall(self, state: State, scoop: Scoop) -> tuple[float, ...]:
        """Return when a closed pack on set is dry last, frosted, dewy and running (session seconds)."""
        since, until = scoop.since, max(scoop.since, state.last_time)
        climate, product = Climate(state, self._plan), Product.of(self._plan, scoop.flavour)
        slow = math.exp(self.tau(scoop.number, scoop.flavour))
        history = climate.history(scoop, until, product)
        began = history[0].began if history else until
        on_set = max(since, began)
        pieces = [Piece(one.around, one.seconds / slow) for one in history]
        pieces.append(Piece(climate.around("set", since, product, lit=True), HORIZON_S / slow))
        start_c = climate.start_c(product, scoop, until) + self._warmer_k
        wiped = tuple((at - began) / slow for at, _ in scoop.wiped if at >= began)
        through = tuple(pieces), (on_set - began) / slow, wiped
        found = sweats([Packed(product.mix, product.build.body, start_c, *through)])[0]
        clear = max((since, *(at for at, _ in scoop.wiped)))
        return clear, *(on_set + slow * seconds for seconds in found.in_order)

    def _edge(self, state: State, scoop: Scoop, at: float) -> tuple[Climate, Product, Ruffle, float]:
        """Return a scoop's edge at `at`, with what it was reckoned by, and how many times longer all takes it."""
        climate, product = Climate(state, self._plan), Product.of(self._plan, scoop.flavour)
        slow = math.exp(self.tau(scoop.number, scoop.flavour))
        pulled = product.pulled_at(climate.start_c(product, scoop, at) + self._warmer_k)
        history = [(one.around, one.seconds / slow) for one in climate.history(scoop, at, product)]
        return climate, product, product.through(pulled, history), slow
