"""What is said wherever dry ice or CO₂ is shown."""

from studiotimer.thermal.charge import CAUTIONS, CAUTIONS_SHORT, LIMITS_PPM, LIMITS_SOURCE

DRY_ICE_SHORT = CAUTIONS_SHORT

DRY_ICE = " ".join(CAUTIONS)

LIMITS = ", ".join(f"{ppm:,.0f} ppm {when}" for when, ppm in LIMITS_PPM.items()) + f" ({LIMITS_SOURCE})"
