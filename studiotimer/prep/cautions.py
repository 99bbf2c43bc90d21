"""The cautions of dry ice and the limits of CO₂ in one piece each, for paper."""

from studiotimer.thermal.charge import CAUTIONS, LIMITS_PPM, LIMITS_SOURCE

DRY_ICE = " ".join(CAUTIONS)

LIMITS = ", ".join(f"{ppm:,.0f} ppm {when}" for when, ppm in LIMITS_PPM.items()) + f" ({LIMITS_SOURCE})"
