"""A mix: what an ice cream is made of, in mass percent, and how much air is whipped into it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from studiotimer.errors import InputError
from studiotimer.thermal.depression import FREEZING_STOPS_C, depression_curve, sucrose_equivalent
from studiotimer.thermal.structure import EMULSIFIERS, NETWORK_LIMIT, Emulsifier, network

OVERRUN_LIMIT = 2.0  # three volumes of one: beyond what any freezer whips (memory)

_PARTS = ("fat", "msnf", "sucrose", "css", "dextrose", "whey", "stab", "other")
_PROTEIN_IN_MSNF, _PROTEIN_IN_WHEY, _ASH_SHARE = 0.37, 0.12, 0.085


class MixError(InputError):
    """A mix that cannot be; the message is one sentence naming the field and the limit."""


@dataclass(frozen=True, slots=True)
class Mix:
    """Composition of a mix, each part in mass percent, and its overrun as a fraction.

    `fat` [%]; `msnf` [%] is milk solids not fat; `sucrose` [%]; `css` [%] corn syrup solids of dextrose equivalent
    `css_de` [-]; `dextrose` [%] also stands for fructose; `whey` [%] is whey solids; `stab` [%] stabiliser; `other` [%]
    all other solids (emulsifier, egg, cocoa, fruit); `overrun` [-]. Water is what is left of 100, unless `water_stated`
    [%] gives it (a carton label does). The network follows from overrun and `emulsifier`, unless `network_stated` [-]
    gives it (a class of the table does). Raises MixError for a negative part, parts over 100 %, overrun outside 0 to
    200 %, a dextrose equivalent outside 0 to 100, a network outside 0 to 0.85, or a mix that does not begin to freeze
    above -35 °C.
    """

    name: str
    fat: float = 0.0
    msnf: float = 0.0
    sucrose: float = 0.0
    css: float = 0.0
    css_de: float = 42.0
    dextrose: float = 0.0
    whey: float = 0.0
    stab: float = 0.0
    other: float = 0.0
    overrun: float = 0.0
    water_stated: float | None = None
    emulsifier: Emulsifier = "none"
    network_stated: float | None = None

    def __hash__(self) -> int:
        """Return a hash of what tells mixes apart, as good as always: tables are looked up by mix all the time."""
        return hash((self.name, self.fat, self.overrun))

    def __post_init__(self) -> None:
        for part in _PARTS:
            value = getattr(self, part)
            if not (math.isfinite(value) and 0.0 <= value <= 100.0):
                raise MixError(f"{part}: {value:g} % is not possible; give 0 to 100 %")
        if not 0.0 <= self.css_de <= 100.0:
            raise MixError(f"css_de: {self.css_de:g} is not possible; give 0 to 100 (dextrose equivalent)")
        if not 0.0 <= self.overrun <= OVERRUN_LIMIT:
            raise MixError(f"overrun: {100 * self.overrun:.4g} % is not possible; give 0 to 200 %")
        if self.emulsifier not in EMULSIFIERS:
            raise MixError(f"emulsifier: “{self.emulsifier}” is not known; it is one of {'; '.join(EMULSIFIERS)}")
        if self.network_stated is not None and not 0.0 <= self.network_stated <= NETWORK_LIMIT:
            raise MixError(f"network: {self.network_stated:g} is not possible; give 0 to {NETWORK_LIMIT:g}")
        if self._solids > 100.0:
            raise MixError(f"recipe: its parts sum to {self._solids:.4g} %; they must be at most 100 %")
        if self.water <= 0.0:
            raise MixError("water: the parts leave no water, so the mix never freezes; some must be left below 100 %")
        depressions, _ = depression_curve(self.sucrose_equivalent, self.salts, at_most=100.0 / self.water)
        if depressions[-1] > -FREEZING_STOPS_C:
            raise MixError(
                f"sucrose and milk solids: the mix never freezes, it would begin at -{depressions[-1]:.4g} °C; "
                f"it must begin above {FREEZING_STOPS_C:g} °C"
            )

    @property
    def _solids(self) -> float:
        return math.fsum(getattr(self, part) for part in _PARTS)

    @property
    def water(self) -> float:
        """Water [%]: 100 less the solids, by definition."""
        if self.water_stated is not None:
            return self.water_stated
        return 100.0 - self._solids

    @property
    def network(self) -> float:
        """How far clustered fat and small air cells carry the shape once the ice is gone [-], 0 to 0.85: own rule
        (`structure`).
        """
        return network(self.overrun, self.emulsifier) if self.network_stated is None else self.network_stated

    @property
    def protein(self) -> float:
        """Protein [%]: 0.37 msnf + 0.12 whey [1] (shares from memory).

        References
        ----------
        .. [1] H. D. Goff and R. W. Hartel, Ice Cream, Springer, 2013.
        """
        return _PROTEIN_IN_MSNF * self.msnf + _PROTEIN_IN_WHEY * self.whey

    @property
    def ash(self) -> float:
        """Minerals [%]: 0.085 (msnf + whey) [1] (share from memory).

        References
        ----------
        .. [1] H. D. Goff and R. W. Hartel, Ice Cream, Springer, 2013.
        """
        return _ASH_SHARE * (self.msnf + self.whey)

    @property
    def carbohydrate(self) -> float:
        """All remaining solids [%]: 100 - water - fat - protein - ash, by definition."""
        return max(0.0, 100.0 - self.water - self.fat - self.protein - self.ash)

    @property
    def salts(self) -> float:
        """Milk solids whose salts lower the freezing point [%]: msnf + whey [1].

        References
        ----------
        .. [1] A. Leighton, "On the calculation of the freezing point of ice-cream mixes and of the quantities of ice
             separated during the freezing process", J. Dairy Science 10, 1927, 300-308.
        """
        return self.msnf + self.whey

    @property
    def sucrose_equivalent(self) -> float:
        """Sucrose that lowers the freezing point as its sugars do [g/100 g]: see `depression.sucrose_equivalent` for
        its sources.
        """
        return sucrose_equivalent(self.msnf, self.whey, self.sucrose, self.css, self.css_de, self.dextrose)
