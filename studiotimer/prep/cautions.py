"""What is said wherever dry ice or CO₂ is shown."""

DRY_ICE_SHORT = "gloves; open doors; never sealed; never in a closed car or cold room"

DRY_ICE = (
    "Dry ice: insulated gloves and eye protection; ventilate; never in a sealed container; never in a closed car or a "
    "cold room, where the gas gathers; low places fill first. A CO₂ monitor decides, not this estimate. "
    "Local codes, the supplier's data sheet and licensed practice come first."
)

LIMITS = (
    "5,000 ppm over 8 hours, 30,000 ppm for 15 minutes, 40,000 ppm immediately dangerous "
    "(NIOSH Pocket Guide, carbon dioxide)"
)
