"""A mix from what a carton label states for one serving."""

from __future__ import annotations

from dataclasses import replace

from studiotimer.thermal.mix import OVERRUN_LIMIT, Mix, MixError
from studiotimer.thermal.properties import mix_density
from studiotimer.thermal.structure import Emulsifier

_PROTEIN_IN_MSNF = 0.37
_LACTOSE_IN_MSNF = 0.545
_ASH_IN_MSNF = 0.085


def mix_from_label(
    name: str,
    *,
    volume_ml: float,
    mass_g: float,
    fat_g: float,
    carbohydrate_g: float,
    protein_g: float,
    total_sugars_g: float,
    added_sugars_g: float | None = None,
    stab: float = 0.3,
    emulsifier: Emulsifier = "none",
) -> Mix:
    """Return the mix of a serving of `volume_ml` [ml] weighing `mass_g` [g]; `stab` [%] is its stabiliser.

    Per 100 g: msnf = protein / 0.37, lactose = 0.545 msnf, ash = 0.085 msnf [1] (shares from memory); sucrose is the
    added sugars, or the total less lactose where the label tells none; other = carbohydrate - lactose - sucrose - stab;
    water = the rest. Overrun = rho_mix / (mass / volume) - 1. The parts are `fat_g` [g], `carbohydrate_g` [g],
    `protein_g` [g], `total_sugars_g` [g] and `added_sugars_g` [g]. Raises MixError when the parts sum to more than the
    serving, sugars exceed the carbohydrate, or the overrun lies outside 0 to 200 %.

    References
    ----------
    .. [1] H. D. Goff and R. W. Hartel, Ice Cream, Springer, 2013.
    """
    msnf = protein_g / _PROTEIN_IN_MSNF
    ash = _ASH_IN_MSNF * msnf
    total = fat_g + carbohydrate_g + protein_g + ash
    _check(mass_g, volume_ml, total, carbohydrate_g, total_sugars_g, added_sugars_g)
    lactose = _LACTOSE_IN_MSNF * msnf
    sucrose = max(0.0, total_sugars_g - lactose) if added_sugars_g is None else added_sugars_g
    share = 100.0 / mass_g
    still = Mix(
        name,
        fat=fat_g * share,
        msnf=msnf * share,
        sucrose=sucrose * share,
        stab=stab,
        other=max(0.0, (carbohydrate_g - lactose - sucrose) * share - stab),
        water_stated=100.0 - total * share,
        emulsifier=emulsifier,
    )
    overrun = mix_density(still) / (1000.0 * mass_g / volume_ml) - 1.0
    if not 0.0 <= overrun <= OVERRUN_LIMIT:
        raise MixError(
            f"serving_ml: {volume_ml:g} ml at {mass_g:g} g means an overrun of {100 * overrun:.3g} %; "
            "it must be from 0 to 200 %"
        )
    return replace(still, overrun=overrun)


def _check(
    mass_g: float, volume_ml: float, total_g: float, carbohydrate_g: float, sugars_g: float, added_g: float | None
) -> None:
    """Raise MixError where the parts of a serving [g], `total_g` in all, cannot be so."""
    if not mass_g > 0.0:
        raise MixError(f"serving_g: {mass_g:g} g is not possible; give more than 0 g")
    if not volume_ml > 0.0:
        raise MixError(f"serving_ml: {volume_ml:g} ml is not possible; give more than 0 ml")
    if total_g > mass_g:
        raise MixError(f"serving_g: the parts sum to {total_g:.4g} g, more than the serving's {mass_g:g} g")
    if sugars_g > carbohydrate_g:
        raise MixError(
            f"total_sugars_g: {sugars_g:g} g is not possible; give at most the carbohydrate, {carbohydrate_g:g} g"
        )
    if added_g is not None and added_g > sugars_g:
        raise MixError(f"added_sugars_g: {added_g:g} g is not possible; give at most the total sugars, {sugars_g:g} g")
