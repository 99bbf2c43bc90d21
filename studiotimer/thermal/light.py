"""Light on a scoop: from a meter's reading to the heat that the surface takes up."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal, NamedTuple, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Tone = Literal["pale", "mid", "dark"]

TUNGSTEN_LM_W = (
    34.0  # a black body's 27 at 3200 K over 0.34 / 0.43 (de Vos 1954, memory; `tests/outside/test_light.py`)
)
FLASH = "flash"
MODELLING_SHARE = 0.9  # of a modelling lamp's watts that it sends out: own rule
LIT_SHARE = 0.5  # a beam lights one face of the ruffle and half of the scoop: own rule

Number = TypeVar("Number", float, "NDArray[np.float64]")


class Lamp(NamedTuple):
    """A kind of lamp: `lumens_per_watt` [lm/W] of its light, and the share of it each tone absorbs.

    `pale` [-], `mid` [-] and `dark` [-] (0 to 1); `usual_lux` [lx] is taken at the scoop where no meter was read. The
    values, with their sources, are rows of `resources/lamps.json`.
    """

    kind: str
    lumens_per_watt: float
    pale: float
    mid: float
    dark: float
    usual_lux: float = 0.0

    def share(self, tone: Tone) -> float:
        """Return the absorbed share [-] (0 to 1) of a product of that tone, by the lamp's definition."""
        return {"pale": self.pale, "mid": self.mid, "dark": self.dark}[tone]


class Light(NamedTuple):
    """A lamp and what an incident meter reads of it at the scoop, `lux` [lx]; `usual` where none was read."""

    lamp: Lamp
    lux: float
    usual: bool = False

    def absorbed(self, tone: Tone) -> float:
        """Return the heat a surface of that tone takes up [W/m2]: `absorbed`, with its own rule."""
        return float(absorbed(irradiance(self.lux, self.lamp), tone, self.lamp))


def modelling_lux(watts: float, metres: float, led: bool = False) -> float:
    """Return the illuminance [lx] that stands for a flash's modelling lamp of `watts` [W], `metres` [m] away.

    E = 0.9 W / (4 pi r²) as tungsten's at 34 lm/W [1]; of an LED, half of that. Own rule: 0.9, even all round, and the
    half.

    References
    ----------
    .. [1] J. C. de Vos, 1954: the emissivity of tungsten (memory).
    """
    spread = watts * MODELLING_SHARE / (4.0 * math.pi * metres**2) * (0.5 if led else 1.0)
    return spread * TUNGSTEN_LM_W


def irradiance(lux: Number, lamp: Lamp) -> Number:
    """Return the irradiance [W/m2] of `lux` [lx] from that lamp; a number or an array, same shape.

    E = lux / K, K the lamp's lm/W: the definition of luminous efficacy.
    """
    return lux / lamp.lumens_per_watt


def absorbed(irradiance_w_m2: Number, tone: Tone, lamp: Lamp) -> Number:
    """Return the heat taken up [W/m2] from `irradiance_w_m2` [W/m2]; a number or an array, same shape.

    q = a E / 2, averaged over both faces of the ruffle or the whole scoop. Own rule: a beam lights one face.
    """
    return irradiance_w_m2 * lamp.share(tone) * LIT_SHARE
