"""What is said wherever dry ice or CO₂ is shown."""

from studiotimer.thermal.charge import CAUTIONS, LIMITS_PPM, LIMITS_SOURCE

DRY_ICE_SHORT = "gloves; open doors; never sealed; never in a closed car or cold room"

DRY_ICE = " ".join(CAUTIONS)

LIMITS = ", ".join(f"{ppm:,.0f} ppm {when}" for when, ppm in LIMITS_PPM.items()) + f" ({LIMITS_SOURCE})"
