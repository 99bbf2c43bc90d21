"""Closed packs on set and in the line: when frost shows on their wall, when dew beads and runs; kept while it holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from studiotimer.prep.looks import Look, look_window, pack_starts
from studiotimer.session.climate import Climate, Stretch
from studiotimer.session.countdowns import AHEAD_S, Band, LineForecast, WallChanges
from studiotimer.session.entries import WALL_SEEN
from studiotimer.session.lives import QUANTILES, Life, Origin
from studiotimer.session.scoops import Scoop
from studiotimer.session.slumps import within_horizon
from studiotimer.thermal.body import Piece
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.thermal.pack import Packed, Sweat, sweats
from studiotimer.thermal.surroundings import Surroundings

NEVER = Band(np.inf, np.inf, np.inf)
AGAIN_S = 300.0
"""How often a waiting pack is worked out anew: what waiting does to it is known ahead (own rule)."""
_NODES_S = (0.0, 120.0, 600.0, AHEAD_S[-1] + AGAIN_S)  # thin where a wait changes most, the last beyond what is asked
_MIDDLE = QUANTILES // 2


@dataclass(frozen=True, slots=True)
class _Stood:
    """What a pack's wall follows from, apart from the time."""

    origin: Origin
    done: tuple[Stretch, ...]
    began: float
    around: Surroundings
    ahead: tuple[Surroundings, ...]
    wiped: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class _Line:
    """What a waiting pack would have on set if placed after each of _NODES_S from `at`: its changes, [s] on set."""

    stood: _Stood
    at: float
    changes: tuple[Sweat, ...]


class Packs:
    """When the walls of closed packs change; it keeps what it found of those that stand as they did."""

    def __init__(self) -> None:
        self._known: dict[int, tuple[_Stood, WallChanges]] = {}
        self._line: dict[int, _Line] = {}

    def on_set(
        self, scoops: Mapping[int, Scoop], lives: Mapping[int, Life], climate: Climate, at: float
    ) -> dict[int, WallChanges]:  # fmt: skip
        """Return when each pack on set changes; its spread is that of tau alone."""
        stood = {one: _stood(life, climate, at, scoops[one]) for one, life in lives.items()}
        known = {one: found for one, found in self._known.items() if one in stood and found[0] == stood[one]}
        asked = [one for one in lives if one not in known]
        found = sweats([
            _on_set(lives[one], scoops[one], stood[one], slow) for one in asked for slow in lives[one].origin.slowing
        ])  # fmt: skip
        for place, one in enumerate(asked):
            three = found[place * QUANTILES : (place + 1) * QUANTILES]
            known[one] = (stood[one], _changes(lives[one], scoops[one], three))
        self._known = known
        return {one: _as_seen(changes, scoops[one]) for one, (_, changes) in known.items()}

    def waiting(
        self, lives: Mapping[int, Life], flavours: Mapping[int, str], climate: Climate, at: float, look: Look,
        dressing_s: float,
    ) -> list[LineForecast]:  # fmt: skip
        """Return what each waiting pack would have if placed on set after each of AHEAD_S."""
        stood = {one: _stood(life, climate, at) for one, life in lives.items()}
        known = {
            one: found
            for one, found in self._line.items()
            if one in stood and found.stood == stood[one] and 0.0 <= at - found.at < AGAIN_S
        }
        asked = [one for one in lives if one not in known]
        found = sweats([pack for one in asked for pack in _if_placed(lives[one], stood[one], climate.carry_s(at))])
        count = len(_NODES_S)
        for place, one in enumerate(asked):
            known[one] = _Line(stood[one], at, tuple(found[place * count : (place + 1) * count]))
        self._line = known
        return [
            _line(one, flavours[one], known[one], lives[one].origin.slowing[_MIDDLE], at, look, dressing_s)
            for one in lives
        ]  # fmt: skip


def window(look: Look, changes: WallChanges) -> tuple[Band, Band]:
    """Return when the window of a look begins and ends on a pack."""
    clear = Band(changes.clear, changes.clear, changes.clear)
    return look_window(look, pack_starts(look, (clear, *changes.begun), NEVER))


def _stood(life: Life, climate: Climate, at: float, scoop: Scoop | None = None) -> _Stood:
    product, now = life.product, life.now
    if scoop is not None:
        ahead: tuple[Surroundings, ...] = (climate.around("set", at, product),)
        return _Stood(life.origin, life.done, now.began, now.around, ahead, _wiped(scoop))
    ahead = climate.around("carry", at, product), climate.around("set", at, product, lit=True)
    return _Stood(life.origin, life.done, now.began, now.around, ahead)


def _wiped(scoop: Scoop) -> tuple[float, ...]:
    return tuple(at for at, _ in scoop.wiped)


def _lived(life: Life, slow: float) -> tuple[float, tuple[Piece, ...]]:
    """Return when a life began, and what it went through in the model's own seconds."""
    stretches = (*life.done, life.now)
    return stretches[0].began, tuple(Piece(one.around, one.seconds / slow) for one in stretches)


def _on_set(life: Life, scoop: Scoop, stood: _Stood, slow: float) -> Packed:
    began, lived = _lived(life, slow)
    wiped = tuple((at - began) / slow for at in stood.wiped if at >= began)
    pieces = (*lived, Piece(stood.ahead[0], HORIZON_S / slow))
    return Packed(
        life.product.mix,
        life.product.build.body,
        life.origin.start_c,
        pieces,
        max(scoop.since - began, 0.0) / slow,
        wiped,
    )


def _if_placed(life: Life, stood: _Stood, walk_s: float) -> list[Packed]:
    """Return a waiting pack as it would be placed after each of _NODES_S, at the middle pace."""
    slow = life.origin.slowing[_MIDDLE]
    _, lived = _lived(life, slow)
    carried, there = stood.ahead
    found = []
    for ahead in _NODES_S:
        waits = Piece(life.now.around, max(ahead - walk_s, 0.0) / slow)
        before = (*lived, waits, Piece(carried, walk_s / slow))
        since = sum(piece.seconds for piece in before)
        pieces = (*before, Piece(there, HORIZON_S / slow))
        found.append(Packed(life.product.mix, life.product.build.body, life.origin.start_c, pieces, since))
    return found


def _changes(life: Life, scoop: Scoop, three: list[Sweat]) -> WallChanges:
    began, _ = _lived(life, 1.0)
    clear = max((scoop.since, *(at for at in _wiped(scoop))))
    rows = np.array([one.in_order for one in three]) * np.array(life.origin.slowing)[:, None]
    frost, dew, runs = (Band.of(max(scoop.since, began) + within_horizon(row)) for row in rows.T)
    return WallChanges(frost, dew, runs, clear)


def _as_seen(changes: WallChanges, scoop: Scoop) -> WallChanges:
    """Return the changes with those a person saw since it was clear at the time they were seen."""
    seen = {what: at for at, what in scoop.seen if at >= changes.clear and what in WALL_SEEN}
    bands = list(changes.begun)
    for place, name in enumerate(WALL_SEEN):
        if name in seen:
            told = Band(seen[name], seen[name], seen[name])
            bands[:place] = [one.earlier_of(told) for one in bands[:place]]
            bands[place:] = [told, *(one.later_of(told) for one in bands[place + 1 :])]
    frost, dew, runs = bands
    return WallChanges(frost, dew, runs, changes.clear)


def _line(
    number: int, flavour: str, known: _Line, slow: float, at: float, look: Look, dressing_s: float
) -> LineForecast:  # fmt: skip
    ahead = np.array(AHEAD_S) + (at - known.at)
    rows = np.array([one.in_order for one in known.changes]).T * slow
    with np.errstate(invalid="ignore"):
        frost, dew, runs = (within_horizon(np.interp(ahead, _NODES_S, row)) for row in rows)
    zero, never = np.zeros(ahead.size), np.full(ahead.size, np.inf)
    start, end = look_window(look, pack_starts(look, (zero, frost, dew, runs), never))
    start = np.maximum(start, dressing_s)
    wall_c = float(known.changes[0].wall_c[0])
    return LineForecast(number, flavour, at, tuple(start.tolist()), tuple(end.tolist()), wall_c)
