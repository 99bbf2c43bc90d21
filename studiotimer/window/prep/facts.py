"""The facts of a plan, in the order of the day's work, each with how it was found. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from studiotimer.prep.cold import Freezer
from studiotimer.prep.found import Found, counted, percent
from studiotimer.prep.pulls_needed import Product
from studiotimer.prep.results import Results


@dataclass(frozen=True)
class Shown:
    """A fact: what it is, its figure, a line under it, and how it was found, line by line with each source."""

    key: str
    figure: str
    note: str
    found: tuple[tuple[str, Found], ...]
    bad: bool = False


def facts_of(results: Results) -> list[Shown]:
    """Return the facts of a plan."""
    shown = [_ends(results), _freezers(results), _pulls(results), _tubs(results)]
    ice = results.ice
    if ice is not None:
        kind = f"{results.plan.dry_ice.form}, {percent(results.plan.dry_ice.margin)} margin"
        parts = (
            ("buy", ice.buy), ("box", ice.box), ("set", ice.on_set), ("on the way", ice.way), ("margin", ice.margin),
        )  # fmt: skip
        shown.append(
            Shown(
                "dry ice",
                ice.buy.text,
                kind,
                parts,
            )
        )
        peak, _, rest = ice.co2.text.partition(" at most, ")
        high = "over" in rest or "no air changes" in rest
        said = rest if high else rest.partition(", not")[0]
        shown.append(Shown("CO₂, highest estimate", peak, f"at {said}", (("", ice.co2),), bad=high))
    return shown


def _freezers(results: Results) -> Shown:
    freezers = results.freezers
    settings = list(dict.fromkeys(freezer.setting.text for freezer in freezers))
    unit = settings[0].rpartition(" ")[2]
    figure = ", ".join(each.removesuffix(f" {unit}") for each in settings[:-1])
    figure = f"{figure}, {settings[-1]}" if figure else settings[-1]
    compromise = "a compromise; " if any(freezer.costs for freezer in freezers) else ""
    found = [line for freezer in freezers for line in _freezer(results, freezer, len(freezers) > 1)]
    found += [("product in, at the latest", results.product_in), ("freezers on, at the latest", results.freezer_on)]
    key = counted(len(freezers), "freezer") if len(freezers) > 1 else "freezer"
    return Shown(key, figure, f"{compromise}on by {results.freezer_on.text}", tuple(found))


def _freezer(results: Results, freezer: Freezer, named: bool) -> Iterator[tuple[str, Found]]:
    """Yield how a freezer's setting was found, what it costs, and the split that costs less."""
    name = f"{freezer.name}, {freezer.setting.text}" if named else ""
    yield name, freezer.setting
    for each in freezer.costs:
        yield "", Found(None, "", each.text, freezer.setting.source)
    found = results.split
    if found is not None and freezer.costs:
        yield "costs least", Found(found.value, found.text, f"{found.text} ({found.how})", found.source)


def _pulls(results: Results) -> Shown:
    heroes = sum(product.heroes for product in results.products)
    spares = sum(product.spares for product in results.products)
    note = f"{counted(heroes, 'hero', 'heroes')}, {counted(spares, 'spare')}"
    each = tuple((product.flavour, product.pulls) for product in results.products)
    return Shown("pulls", f"{results.pulls.value}", note, each)


def _tubs(results: Results) -> Shown:
    """Return the tubs by kind: tubs of two kinds are not one number."""
    products, kinds = results.products, results.kinds
    found = tuple(
        (product.flavour, Found(None, "", f"{product.tubs.how}: {product.scoops_a_tub.how}", product.tubs.source))
        for product in products
    )
    bad = any(product.tubs.value is None for product in products)
    key = "tubs: " + " + ".join(kind.name.removesuffix(" tub") for kind in kinds)
    spare = sum(flavour.spare_tubs for flavour in results.plan.flavours)
    note = _shared_out(products) + (f", {spare} spare" if spare else "")
    return Shown(key, " + ".join(str(kind.tubs) for kind in kinds), note, found, bad)


def _shared_out(products: tuple[Product, ...]) -> str:
    numbers = [int(product.tubs.value or 0) for product in products]
    if len(products) == 1:
        return products[0].flavour
    if len(set(numbers)) == 1:
        return f"{numbers[0]} of each flavour"
    return ", ".join(f"{product.flavour} {number}" for product, number in zip(products, numbers, strict=True))


def _ends(results: Results) -> Shown:
    early, late = results.day.ends
    found = [("", results.ends)] + ([("window light", results.sun.found)] if results.sun else [])
    planned = results.day.slots[-1].end
    return Shown("last shot ends", f"{planned:%H:%M}", f"{early:%H:%M} to {late:%H:%M}", tuple(found))
