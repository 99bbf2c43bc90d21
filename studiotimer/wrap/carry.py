"""Carry forward: the next shoot's plan from this one, with what was measured in place of what was guessed."""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from statistics import median
from typing import Any

from studiotimer.prep.found import counted, percent
from studiotimer.prep.plan import Learned, Plan, parse_plan
from studiotimer.prep.product import products
from studiotimer.prep.shots import groups_of
from studiotimer.units import duration, per_watt
from studiotimer.wrap.review import Review

LEAST_PULLS = 8
"""Fewer pulls, but those that wait unjudged, say too little of the share (own rule)."""
LEAST_WALKS = 3
"""Fewer called times out of the cold say too little of the pull-to-set time (own rule)."""


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
    """Return the next shoot's plan, for `date`."""
    old = review.session.plan
    changes: dict[str, Any] = {"date": date}
    changed, left = [], []
    good, known = review.judged
    if known >= LEAST_PULLS and good:
        share = good / known
        changes["good_share"] = f"{good} in {known}"
        changed.append(f"good pulls {good} in {known} ({percent(share)}), was {percent(old.good_share)}")
    else:
        left.append(f"good pulls: known of {known} only, {LEAST_PULLS} are needed")
    walks = review.pull_to_set_s
    if len(walks) >= LEAST_WALKS:
        span = median(walks)
        changes["pull_to_set"] = f"{span:.0f} s"
        changed.append(f"pull to set {duration(span)} (median of {len(walks)}), was {duration(old.pull_to_set_s)}")
    else:
        left.append(f"pull to set: called for {len(walks)} only, {LEAST_WALKS} are wanted")
    _carry_gain(review, changes, changed, left)
    learned = _carry_mixes(review, changed, left)
    values = old.model_dump(mode="json", exclude_none=True)
    values.update({key: value for key, value in changes.items() if key not in ("date", "dry_ice")})
    values["date"] = date.isoformat()
    values["dry_ice"] |= changes.get("dry_ice", {})
    values["learned"] = {name: one.model_dump(mode="json") for name, one in learned.items()}
    plan = parse_plan(values)
    return Carried(plan, tuple(changed), tuple(left), tuple(_short(review, plan)))


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


def _carry_gain(review: Review, changes: dict[str, Any], changed: list[str], left: list[str]) -> None:
    old = review.session.plan.dry_ice.gain_k_per_w
    gain = review.session.climate.gain_k_per_w(review.session.end)
    if gain != old and 0 < gain <= 5:
        changes["dry_ice"] = {"gain_k_per_w": gain}
        changed.append(f"dry ice cools the set by {per_watt(gain)} a watt, was {per_watt(old)}")
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
