"""Carry forward: the next shoot's plan from this one, with what was measured in place of what was guessed."""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from studiotimer.prep.draft import Values
from studiotimer.prep.found import counted, percent
from studiotimer.prep.plan import Learned, Plan, parse_plan
from studiotimer.prep.pulls_needed import products
from studiotimer.prep.shots import groups_of
from studiotimer.prep.times import moved
from studiotimer.units import duration, per_watt, temperature
from studiotimer.wrap.review import Review

MOST_LETTERS, MOST_CARRIED, MOST_SPARE = 200, 60, 20
"""What a plan keeps."""
LEAST_PULLS = 8
"""Fewer pulls, but those that wait unjudged, say too little of the share (own rule)."""
LEAST_WALKS = 3
"""Fewer called times out of the cold say too little of the pull-to-set time (own rule)."""
LEAST_GAPS = 3
"""Fewer spans from one hero in to the next say too little of how long a hero takes (own rule)."""
LONGEST_GAP_S = 2700.0
"""Longer than this something else was between two heroes: lunch, a hold (own rule)."""
LEAST_LOCK_S, LONGEST_LOCK_S = 60.0, 3 * 3600.0
"""A set locked sooner was built before its shot was begun, or later, something else was between (own rule)."""
APART_C, APART_SHARE = 1.0, 0.05
"""What was read this near to the plan leaves it as it is (own rule)."""


@dataclass(frozen=True)
class Carried:
    """The next plan, and in words what was changed in it and what was left as it was for want of data.

    `short` says where it orders fewer pulls than the day really took.
    """

    plan: Plan
    changed: tuple[str, ...]
    left: tuple[str, ...]
    short: tuple[str, ...] = ()


def next_plan(review: Review, date: dt.date) -> Carried:
    """Return the next shoot's plan, for `date`; dates of orders and of the truck move with it."""
    old = review.session.plan
    values = old.model_dump(mode="json", exclude_none=True)
    changed, left = list[str](), list[str]()
    _carry_pulls(review, values, changed, left)
    _carry_locks(review, values, changed, left)
    _carry_gain(review, values, changed, left)
    _carry_room(review, values, changed)
    _carry_delivery(review, values, changed)
    learned = _carry_mixes(review, changed, left)
    moved(values, date)
    values["learned"] = {name: one.model_dump(mode="json") for name, one in learned.items()}
    values["carried"] = [words[:MOST_LETTERS] for words in changed][:MOST_CARRIED]
    plan = parse_plan(values)
    return Carried(plan, tuple(changed), tuple(left), tuple(_short(review, plan)))


def _carry_pulls(review: Review, values: Values, changed: list[str], left: list[str]) -> None:
    old = review.session.plan
    good, known = review.judged
    if known >= LEAST_PULLS and good:
        values["good_share"] = f"{good} in {known}"
        changed.append(
            f"good pulls {good} in {known} ({percent(good / known)}), was {percent(old.good_share)}: "
            f"so many of {known} pulls were judged good or used"
        )
    else:
        left.append(f"good pulls: known of {known} only, {LEAST_PULLS} are needed")
    walks = review.pull_to_set_s
    if len(walks) >= LEAST_WALKS:
        span = median(walks)
        values.pop("pull_to_set_s", None)
        values["pull_to_set"] = f"{span:.0f} s"
        changed.append(
            f"pull to set {duration(span)}, was {duration(old.pull_to_set_s)}: the median of {len(walks)} called"
        )
    else:
        left.append(f"pull to set: called for {len(walks)} only, {LEAST_WALKS} are wanted")
    gaps = hero_gaps(review)
    if len(gaps) >= LEAST_GAPS:
        span = median(gaps)
        values.pop("hero_takes_s", None)
        values["hero_takes"] = f"{span:.0f} s"
        was = "not told" if old.hero_takes_s is None else duration(old.hero_takes_s)
        changed.append(
            f"a hero takes {duration(span)}, was {was}: the median of {len(gaps)} spans from one hero in to the next"
        )
    else:
        left.append(f"how long a hero takes: {len(gaps)} spans from one to the next, {LEAST_GAPS} are wanted")


def hero_gaps(review: Review) -> list[float]:
    """Return the spans [s] from one hero in to the next of the same shot, those of one group being one."""
    gaps = []
    for shot in review.shots:
        came = sorted({hero.stay.hero_since for hero in shot.heroes if hero.stay.hero_since is not None})
        gaps += [later - sooner for sooner, later in pairwise(came) if later - sooner <= LONGEST_GAP_S]
    return gaps


def _carry_locks(review: Review, values: Values, changed: list[str], left: list[str]) -> None:
    """Carry how long each shot took from its beginning to the last of its locks, less the planned change of its set."""
    spent = {one.shot.name: one.spent for one in review.shots}
    for shot, kept in zip(review.session.plan.shots, values["shots"], strict=True):
        one = spent.get(shot.name)
        if one is None or shot.nothing_moves:
            continue
        span, change = one.to_lock_s - float(shot.set_change_s), duration(float(shot.set_change_s))
        if not one.locked or not LEAST_LOCK_S <= one.to_lock_s <= LONGEST_LOCK_S:
            left.append(f"time to lock of {shot.name}: its locks were not called from its beginning on")
            continue
        if span < LEAST_LOCK_S:
            all_in = duration(one.to_lock_s)
            left.append(f"time to lock of {shot.name}: changed and locked in {all_in}, the change alone is {change}")
            continue
        kept.pop("locks_s", None)
        kept["locks"] = f"{span:.0f} s"
        less = f", less {change} of set change" if shot.set_change_s else ""
        changed.append(
            f"time to lock of {shot.name} {duration(span)}, was {duration(float(shot.locks_s))}: from its beginning to "
            f"the last lock{less}"
        )


def _carry_room(review: Review, values: Values, changed: list[str]) -> None:
    """Carry what was read of the room last, where it was not as planned."""
    room = review.session.plan.room
    for one in review.measures:
        if one.what == "room_c" and abs(one.last - room.air_c) >= APART_C:
            values["room"].pop("air_c", None)
            values["room"]["air"] = temperature(one.last, digits=1).replace("−", "-")
            changed.append(
                f"room {temperature(one.last, digits=1)}, was {temperature(room.air_c)}: read "
                f"{counted(one.count, 'time')} on the day, this was the last"
            )
        if one.what == "humidity" and abs(one.last - room.humidity) >= APART_SHARE:
            values["room"]["humidity"] = percent(one.last)
            changed.append(
                f"humidity {percent(one.last)}, was {percent(room.humidity)}: read {counted(one.count, 'time')} on the "
                "day, this was the last"
            )


def _carry_delivery(review: Review, values: Values, changed: list[str]) -> None:
    """Carry how cold product came, and a spare tub more of each flavour where some was damaged or missing."""
    came, plan = review.session.state.deliveries, review.session.plan
    if not came:
        return
    last = came[-1]
    if abs(last.core_c - plan.delivered_c) >= APART_C:
        values.pop("delivered_c", None)
        values["delivered"] = temperature(last.core_c, digits=1).replace("−", "-")
        changed.append(
            f"delivered at {temperature(last.core_c, digits=1)}, was {temperature(plan.delivered_c)}: read at the truck"
        )
    missing = plan.delivery.cartons is not None and last.cartons is not None and last.cartons < plan.delivery.cartons
    if last.damage or missing:
        for flavour in values["flavours"]:
            flavour["spare_tubs"] = min(int(flavour["spare_tubs"]) + 1, MOST_SPARE)
        why = last.damage or f"{last.cartons} of {plan.delivery.cartons} cartons came"
        changed.append(f"spare tubs, one more of each flavour: at the truck, {why}")


def _short(review: Review, plan: Plan) -> Iterator[str]:
    """Yield a sentence for each flavour of which the plan orders fewer pulls than were really made."""
    if review.planned is None:
        return
    really = Counter(scoop.flavour for scoop in review.scoops)
    for each in products(plan, groups_of(plan)):
        planned, pulled = int(each.pulls.value or 0), really[each.flavour]
        if planned < pulled:
            yield (
                f"{each.flavour}: this plan has {counted(planned, 'pull')}, {pulled} were really pulled; "
                "want more takes or spares if the day is to go as this one did"
            )


def _carry_gain(review: Review, values: Values, changed: list[str], left: list[str]) -> None:
    old = review.session.plan.dry_ice.gain_k_per_w
    gain = review.session.climate.gain_k_per_w(review.session.end)
    if gain != old and 0 < gain <= 5:
        values["dry_ice"]["gain_k_per_w"] = gain
        changed.append(
            f"a watt of dry ice cools the set by {per_watt(gain)}, was {per_watt(old)}: read beside the scoop"
        )
    elif review.session.state.charges["set"]:
        left.append("dry ice's cooling: no reading beside the scoop while there was dry ice on set")


def _carry_mixes(review: Review, changed: list[str], left: list[str]) -> dict[str, Learned]:
    session = review.session
    learned = dict(session.plan.learned)
    seen = {one.mix for one in session.learned.seen}
    for mix in sorted({flavour.mix_name for flavour in session.plan.flavours}):
        if mix not in seen:
            left.append(f"{mix}: no change was called")
            continue
        mean, sd = session.learned.mix_part(mix)
        learned[mix] = Learned(mean=mean, sd=sd)
        count = sum(one.mix == mix for one in session.learned.seen)
        changed.append(
            f"{mix} {_longer(session.learned.tau(mix).mean)} than forecast ({_share(mean)} from the mix, the rest from "
            f"the set; {counted(count, 'change')} seen)"
        )
    return learned


def _longer(tau: float) -> str:
    more = math.expm1(tau)
    return f"lasted {percent(abs(more))} {'longer' if more >= 0 else 'shorter'}"


def _share(tau: float) -> str:
    return percent(math.expm1(tau), signed=True)
