"""Light on a scoop: from a meter's reading to the heat that the surface takes up."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Tone = Literal["pale", "mid", "dark"]

TUNGSTEN_LM_W = 34.0
FLASH = "flash"
MODELLING_SHARE = 0.9  # of a modelling lamp's watts that it sends out: own rule
LIT_SHARE = 0.5  # a beam lights one face of the ruffle and half of the scoop: own rule

Number = TypeVar("Number", float, "NDArray[np.float64]")


@dataclass(frozen=True, slots=True)
class Lamp:
    """A kind of lamp: its luminous efficacy [lm per W of light] and the share of it each tone absorbs.

    `usual_lux` is taken at the scoop where no meter was read.
    """

    kind: str
    lumens_per_watt: float
    pale: float
    mid: float
    dark: float
    usual_lux: float = 0.0

    def share(self, tone: Tone) -> float:
        """Return the absorbed share (0 to 1) of a product of that tone."""
        return {"pale": self.pale, "mid": self.mid, "dark": self.dark}[tone]


@dataclass(frozen=True, slots=True)
class Light:
    """A lamp and what an incident meter reads of it at the scoop [lx]; `usual` where none was read."""

    lamp: Lamp
    lux: float
    usual: bool = False

    def absorbed(self, tone: Tone) -> float:
        """Return the heat a surface of that tone takes up [W/m2]."""
        return float(absorbed(irradiance(self.lux, self.lamp), tone, self.lamp))


def modelling_lux(watts: float, metres: float, led: bool = False) -> float:
    """Return the illuminance [lx] that stands for a flash's modelling lamp of `watts`, `metres` from the scoop.

    Its heat as of a tungsten lamp that shines evenly all round; of an LED, half of that (own rule).
    """
    spread = watts * MODELLING_SHARE / (4.0 * math.pi * metres**2) * (0.5 if led else 1.0)
    return spread * TUNGSTEN_LM_W


def irradiance(lux: Number, lamp: Lamp) -> Number:
    """Return the irradiance [W/m2] of `lux` from that lamp; a number or an array."""
    return lux / lamp.lumens_per_watt


def absorbed(irradiance_w_m2: Number, tone: Tone, lamp: Lamp) -> Number:
    """Return the heat taken up [W/m2], averaged over both faces of the ruffle or the whole scoop; number or array."""
    return irradiance_w_m2 * lamp.share(tone) * LIT_SHARE
