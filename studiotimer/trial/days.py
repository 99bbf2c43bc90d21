"""Many simulated days at once, on plan figures: people, pulls, scoops and accidents drawn, the rest as planned.

What a day does (own rules): the assistant pulls for one group of heroes ahead, until every hero of it is good; the
group is carried once it is there and the set is free; it stands until its frames are taken or its window ends, and
the set is not free before past sessions' time from one hero in to the next is over; a take whose frames did not fit
goes on with the next group. A dropped hero costs another good scoop and another walk. Whoever
runs out of scoops of a flavour gives up the shot and goes on with the next; three hours after the planned wrap all go
home. Spares are pulled when they are wanted.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studiotimer.errors import StoppedError
from studiotimer.thermal.learn import SET_SD
from studiotimer.trial.figures import IceStock, Scene, Setup
from studiotimer.trial.luck import Luck
from studiotimer.trial.spans import NORMALS, drawn_looks, drawn_span

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

OVERTIME_S = 3 * 3600.0
"""How long after the planned wrap all go home (own rule)."""
GROUPS_MORE, GROUPS_TIMES = 6, 3
"""A shot is given up after so many times its planned groups of heroes, and so many more (own rule)."""
KEPT_HEROES = 1_000_000
"""Of how many heroes, over all days, the luck is kept at most: about 80 bytes each."""
_DAY, _LOCKS, _GROUP = range(3)


@dataclass(frozen=True)
class Days:
    """What n days came to. `pulls` (flavours, n); `lacking` the flavour that ran out first, -1 for none."""

    got: Bools
    """Whether every shot was got, whenever."""
    end_s: Floats
    """When the last shot was over [s after the call]."""
    locks_s: Floats
    """By how much all locks together were later than planned [s]."""
    pulls: Floats
    lacking: NDArray[np.int64]
    ice_kg: Floats
    ice_out_s: Floats
    """When the dry ice is used up [s after the call]; infinite without dry ice."""


@dataclass(frozen=True)
class Drawn:
    """What one group of heroes meets on n days, shape (n,); `pulls` (heroes, n) and `looks` (heroes, NORMALS, n).

    Walk, dressing and reset are shares of what is planned, `pulling` is standard normal; `pulls` are with those for
    dropped heroes, of which there are `dropped`.
    """

    walk: Floats
    dressing: Floats
    reset: Floats
    pulling: Floats
    looks: Floats
    pulls: Floats
    dropped: Floats


class Draws:
    """The luck of so many days of one seed, by purpose: every change that is tried on them meets the same.

    What was drawn for a group is kept for the next change while it takes little room.
    """

    def __init__(self, luck: Luck, days: int, seed: int) -> None:
        self.luck, self.days, self.seed = luck, days, seed
        self._kept: dict[tuple[int, int, int, float], Drawn] = {}

    def dice(self, *purpose: int) -> np.random.Generator:
        """Return the stream of a purpose."""
        return np.random.default_rng([self.seed, *purpose])

    def lognormal(self, what: str, normal: Floats, planned: float = 1.0) -> Floats:
        """Return spans about `planned` with the spread of `what`, one for each normal draw."""
        return planned * np.exp(self.luck.people[what][1] * normal)

    def group(self, shot: int, group: int, heroes: int, good_share: float) -> Drawn:
        """Return what a group of so many heroes of a shot meets, each pull good with `good_share`."""
        key = shot, group, heroes, good_share
        drawn = self._kept.get(key)
        if drawn is None:
            drawn = self._drawn(*key)
            if len(self._kept) * self.days * heroes < KEPT_HEROES:
                self._kept[key] = drawn
        return drawn

    def _drawn(self, shot: int, group: int, heroes: int, good_share: float) -> Drawn:
        dice = self.dice(_GROUP, shot, group)
        walks, dressing, reset, pulling = dice.standard_normal((4, self.days))
        own = dice.standard_normal((heroes, NORMALS, self.days))
        first, again, drop = dice.random((3, heroes, self.days))
        dropped = drop < self.luck.rates["dropped"]
        pulls = pulls_until_good(first, good_share)
        pulls += np.where(dropped, pulls_until_good(again, good_share), 0.0)
        return Drawn(
            self.lognormal("carry_s", walks), self.lognormal("dress_spread", dressing),
            self.lognormal("reset_spread", reset), pulling, drawn_looks(own), pulls, dropped.sum(axis=0),
        )  # fmt: skip


class _Sim:
    def __init__(self, setup: Setup, draws: Draws, stopped: Callable[[], bool]) -> None:
        self.setup, self.draws, self.luck, self.days, self.stopped = setup, draws, draws.luck, draws.days, stopped
        days, luck = self.days, self.luck
        flavours = setup.flavours
        dice = draws.dice(_DAY)
        of_set = dice.standard_normal(days) * SET_SD
        mixes = list(dict.fromkeys(flavour.mix for flavour in flavours))
        by_mix = {mix: dice.standard_normal(days) for mix in mixes}
        self.tau = np.stack([of_set + one.tau_mean + one.tau_sd * by_mix[one.mix] for one in flavours])
        self.ice_spread = draws.lognormal("ice_spread", dice.standard_normal(days))
        door, which = dice.random((2, days))
        places = np.array(sorted({flavour.freezer for flavour in flavours}))
        open_at = np.where(door < luck.rates["freezer_door"], places[(which * len(places)).astype(int)], 0)
        self.warm = np.stack([open_at == flavour.freezer for flavour in flavours])
        self.left = np.array([[float(one.tubs * one.scoops_a_tub)] * days for one in flavours])
        self.pulls: Floats = np.zeros((len(flavours), days))
        self.lacking = np.full(days, -1)
        self.set_free: Floats = np.zeros(days)
        self.hand: Floats = np.zeros(days)
        self.end: Floats = np.zeros(days)
        self.locks: Floats = np.zeros(days)
        self.got = np.ones(days, dtype=bool)
        self.eaten = np.zeros(days, dtype=bool)

    def shot(self, number: int, scene: Scene) -> None:
        """Shoot one shot on every day."""
        dice = self.draws.dice(_LOCKS, number)
        span = self.draws.lognormal("lock_spread", dice.standard_normal(self.days), scene.locks_s)
        late, more = dice.random((2, self.days))
        span += np.where(late < self.luck.rates["late_lock"], span / 3.0, 0.0)
        self.locks += span - scene.locks_s
        self._eat()
        began = self.set_free
        self.set_free = self.set_free + scene.change_s + span
        takes = scene.takes + (more < self.luck.rates["one_take_more"]).astype(int)
        looks = {one: each.at(self.tau[one], self.warm[one]) for one, each in scene.looks.items()}
        frames = np.full(self.days, float(scene.frames))
        going = np.ones(self.days, dtype=bool)
        for group in range(GROUPS_TIMES * scene.planned + GROUPS_MORE):
            if self.stopped():
                raise StoppedError
            self._eat()
            began, taken = self._group(number, group, scene, looks, began, going, frames)
            frames -= taken
            over = going & (frames <= 0.0)
            takes -= over
            frames[over] = scene.frames
            going &= (takes > 0) & (self.set_free < self.setup.wrap_s + OVERTIME_S)
            if not going.any():
                break
        self.got &= takes <= 0
        self.set_free = self.set_free + scene.approval_s
        self.end = self.end + scene.approval_s

    def _eat(self) -> None:
        """Have lunch on the days on which it is time for it."""
        if self.setup.lunch is None:
            return
        at, lasting = self.setup.lunch
        now = ~self.eaten & (self.set_free >= at)
        self.set_free = np.where(now, self.set_free + lasting, self.set_free)
        self.eaten |= now

    def _group(
        self, number: int, group: int, scene: Scene, looks: dict[int, Floats], began: Floats, going: Bools,
        frames: Floats,
    ) -> tuple[Floats, Floats]:  # fmt: skip
        """Pull, carry and shoot one group; return when it came on set and the frames taken of it.

        Days that run out of scoops are taken out of `going`.
        """
        drawn = self.draws.group(number, group, len(scene.heroes), self.setup.good_share)
        wanted = self._take(scene.heroes, drawn.pulls, going)
        ready = np.maximum(self.hand, began) + self._pulled_in(wanted, drawn.pulling)
        self.hand = np.where(going, ready, self.hand)
        walks = self.setup.carry_s * drawn.walk * (1.0 + drawn.dropped)
        on_set = np.maximum(self.set_free, ready + self.setup.looked_over_s) + walks
        spans = [drawn_span(scene.look, looks[one], drawn.looks[place]) for place, one in enumerate(scene.heroes)]
        start = np.max([one for one, _ in spans], axis=0)
        end = np.min([one for _, one in spans], axis=0)
        usable = np.maximum(start, scene.dressing_s * drawn.dressing)
        fit = np.where(end > usable, np.floor((end - usable) / scene.between_s) + 1.0, 0.0)
        taken = np.where(going, np.minimum(fit, frames), 0.0)
        stood = np.where(taken > 0.0, usable + (taken - 1.0) * scene.between_s, np.minimum(end, usable))
        self.end = np.where(going, on_set + stood, self.end)
        until_next = np.maximum(stood + self.setup.reset_s * drawn.reset, self.setup.hero_takes_s - self.setup.carry_s)
        again_free = on_set + until_next
        self.set_free = np.where(going, again_free, self.set_free)
        return np.where(going, on_set, began), taken

    def _take(self, heroes: tuple[int, ...], pulls: Floats, going: Bools) -> Floats:
        """Take the pulls of a group from the tubs and return how many there are in all."""
        wanted: Floats = np.zeros(self.pulls.shape)
        for place, flavour in enumerate(heroes):
            wanted[flavour] += pulls[place]
        short = going & (wanted > self.left)
        lacking = short.any(axis=0)
        self.lacking = np.where(lacking & (self.lacking < 0), short.argmax(axis=0), self.lacking)
        taken = np.where(going, np.minimum(wanted, self.left), 0.0)
        self.left -= taken
        self.pulls += taken
        going &= ~lacking
        total: Floats = taken.sum(axis=0)
        return total

    def _pulled_in(self, count: Floats, normal: Floats) -> Floats:
        """Return the seconds that so many pulls take: lognormal, with mean and variance of independent pulls' sum."""
        return summed(self.setup.pull_s, self.luck.people["pull_s"][1], count, normal)


def summed(median: float, spread: float, count: Floats, normal: Floats) -> Floats:
    """Return draws for the sum of `count` independent lognormal spans, shape (n,) as `normal`; exact for one of them.

    A lognormal with the sum's mean and variance (Fenton 1960, memory).
    """
    some = np.maximum(count, 1.0)
    of_log = np.log1p((np.exp(spread**2) - 1.0) / some)
    draws: Floats = count * median * np.exp((spread**2 - of_log) / 2.0 + np.sqrt(of_log) * normal)
    return draws


def pulls_until_good(uniform: Floats, share: float) -> Floats:
    """Return the pulls until one is good, each good with `share`: geometric, one for each uniform draw, same shape."""
    if share >= 1.0:
        return np.ones(uniform.shape)
    pulls: Floats = np.floor(np.log1p(-uniform) / np.log1p(-share)) + 1.0
    return pulls


def try_days(setup: Setup, draws: Draws, stopped: Callable[[], bool] = lambda: False) -> Days:
    """Return what the days of `draws` came to; the same luck for every change of the setup.

    Raises StoppedError when `stopped` says so.
    """
    sim = _Sim(setup, draws, stopped)
    for number, scene in enumerate(setup.shots):
        sim.shot(number, scene)
    used, out = _ice_used(setup.ice, sim.end, sim.ice_spread)
    return Days(sim.got, sim.end, sim.locks, sim.pulls, sim.lacking, used, out)


def _ice_used(ice: IceStock | None, end: Floats, spread: Floats) -> tuple[Floats, Floats]:
    """Return the dry ice used by the end of each day [kg], and when what was bought is used up [s after the call]."""
    if ice is None:
        return np.zeros(end.shape), np.full(end.shape, np.inf)
    box, on_set = ice.box_kg_s * spread, ice.set_kg_s * spread
    rate, by_call = on_set, ice.way_kg - on_set * ice.set_since_s
    if ice.box_for_s is None:
        rate, by_call = rate + box, by_call - box * ice.box_since_s
    else:
        by_call = by_call + box * ice.box_for_s
    with np.errstate(divide="ignore", invalid="ignore"):
        out = np.nan_to_num((ice.bought_kg - by_call) / rate, nan=np.inf, posinf=np.inf, neginf=-np.inf)
    return by_call + rate * end, out
