"""Product to order: pulls that give enough good scoops, and the tubs they come from."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from studiotimer import units
from studiotimer.forms import named, whole
from studiotimer.prep.chance import chance_of, pulls_for
from studiotimer.prep.found import OWN_RULE, Found, counted, percent
from studiotimer.prep.plan import Plan
from studiotimer.prep.scene import tub_of
from studiotimer.prep.tubs import size_of, yield_of


@dataclass(frozen=True)
class Product:
    """What one flavour needs: scoops wanted, pulls that give them, and tubs to order, `spare_tubs` among them."""

    flavour: str
    heroes: int
    spares: int
    stand_ins: int
    pulls: Found
    scoops_a_tub: Found
    tubs: Found
    kind: str
    """What its tubs are called: tubs of two kinds are never added."""
    spare_tubs: int

    def as_json(self) -> dict[str, object]:
        """Return the needs as JSON values."""
        counts = {
            "flavour": self.flavour,
            "heroes": self.heroes,
            "spares": self.spares,
            "stand_ins": self.stand_ins,
            "kind": self.kind,
            "spare_tubs": self.spare_tubs,
        }
        found = {"pulls": self.pulls, "scoops_a_tub": self.scoops_a_tub, "tubs": self.tubs}
        return counts | {name: each.as_json() for name, each in found.items()}


def products(plan: Plan, groups: Mapping[str, int], style: units.Style = "metric") -> tuple[Product, ...]:
    """Return what each flavour needs when each shot, by name, needs `groups` of heroes.

    Raises PlanError when a tub is not known.
    """
    found = []
    for number, flavour in enumerate(plan.flavours, 1):
        heroes = spares = stand_ins = 0
        for shot in plan.shots:
            spots = sum(hero.flavour == flavour.name for hero in shot.heroes)
            heroes += spots * groups[shot.name]
            spares += math.ceil(shot.spares * spots / len(shot.heroes))
            stand_ins += math.ceil(shot.stand_ins * spots / len(shot.heroes))
        pulls = _pulls(plan, heroes, spares, stand_ins)
        tub = tub_of(plan, flavour)
        field = f"flavours {number} ({flavour.name}), tub" if flavour.tub else "tub"
        scoops = yield_of(tub, flavour.form, plan.width_m, style, field)
        packs = whole(flavour.form)
        kind = named(flavour.form) if packs else size_of(tub, field).called
        of_form = named(flavour.form)
        tubs = (
            _packs(pulls, kind, flavour.spare_tubs)
            if packs
            else _tubs(pulls, scoops, kind, flavour.spare_tubs, of_form)
        )
        found.append(Product(flavour.name, heroes, spares, stand_ins, pulls, scoops, tubs, kind, flavour.spare_tubs))
    return tuple(found)


def all_pulls(plan: Plan, each: tuple[Product, ...]) -> Found:
    """Return the pulls of all flavours together, and how sure it is that none falls short."""
    total = sum(int(product.pulls.value or 0) for product in each)
    together = math.prod(
        chance_of(product.heroes + product.spares, int(product.pulls.value or 0), plan.good_share) for product in each
    )
    heroes = counted(sum(product.heroes for product in each), "hero", "heroes")
    spares = counted(sum(product.spares for product in each), "spare")
    stand_ins = counted(sum(product.stand_ins for product in each), "stand-in")
    return Found(
        total,
        counted(total, "pull"),
        f"{heroes} and {spares}, with {percent(plan.good_share)} of pulls good enough; {stand_ins} from the rest; "
        f"each flavour {percent(plan.confidence)} sure, all of them together {percent(together)}",
        f"negative binomial distribution; which scoops must be good: {OWN_RULE}",
    )


def _pulls(plan: Plan, heroes: int, spares: int, stand_ins: int) -> Found:
    """Return the pulls of one flavour: heroes and spares must be good, a stand-in may be any scoop (own rule)."""
    good, share = heroes + spares, plan.good_share
    pulls = max(pulls_for(good, share, plan.confidence), good + stand_ins)
    return Found(
        pulls,
        counted(pulls, "pull"),
        f"{counted(heroes, 'hero', 'heroes')} and {counted(spares, 'spare')} must be good, "
        f"{percent(share)} of pulls are; {pulls} pulls give them with "
        f"{percent(chance_of(good, pulls, share), 1)} chance ({percent(plan.confidence)} asked), "
        f"and {counted(stand_ins, 'stand-in')} from the rest",
        f"negative binomial distribution; which scoops must be good: {OWN_RULE}",
    )


def _packs(pulls: Found, name: str, spare: int) -> Found:
    """Return the packs of a flavour: each is pulled once."""
    wanted = int(pulls.value or 0)
    more = f", and {counted(spare, 'spare')}" if spare else ""
    return Found(wanted + spare, f"{wanted + spare} × {name}", f"one a pull, {counted(wanted, 'pull')}{more}", OWN_RULE)


def _tubs(pulls: Found, scoops: Found, name: str, spare: int, form: str) -> Found:
    wanted, holds = int(pulls.value or 0), int(scoops.value or 0)
    if holds == 0:
        return Found(None, "none fits", f"a {form} is wider or deeper than the {name}; choose a larger tub", OWN_RULE)
    needed = math.ceil(wanted / holds)
    more = f", and {counted(spare, 'spare tub')}" if spare else ""
    return Found(
        needed + spare,
        f"{needed + spare} × {name}",
        f"{counted(wanted, 'pull')} at {scoops.text} a tub: {needed}{more}",
        scoops.source,
    )


@dataclass(frozen=True)
class Kind:
    """The tubs of one kind, of all flavours that come in it."""

    name: str
    tubs: int
    flavours: tuple[str, ...]

    @property
    def text(self) -> str:
        """Return it as it is ordered: ``4 × 5 L pan (brown butter 2, hazelnut 2)``."""
        return f"{self.tubs} × {self.name} ({', '.join(self.flavours)})"

    def as_json(self) -> dict[str, object]:
        """Return it as JSON values."""
        return {"kind": self.name, "tubs": self.tubs, "flavours": list(self.flavours)}


def kinds_of(each: tuple[Product, ...]) -> tuple[Kind, ...]:
    """Return the tubs by kind; tubs of two kinds are never added."""
    names = dict.fromkeys(product.kind for product in each)
    by_kind = {name: [one for one in each if one.kind == name] for name in names}
    return tuple(
        Kind(
            name,
            sum(int(one.tubs.value or 0) for one in those),
            tuple(f"{one.flavour} {int(one.tubs.value or 0)}" for one in those),
        )
        for name, those in by_kind.items()
    )
