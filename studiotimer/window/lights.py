"""The lights, and what scoops stand on, that are offered wherever one is asked for."""

LIGHTS = ("LED", "daylight", "HMI", "tungsten", "flash, modelling off", "flash, modelling 250 W at 1 m", "none")
LIGHT_HINT = (
    "flash, HMI, LED, daylight or tungsten; with a meter reading if there is one (LED 2000 lx, tungsten EV 12), "
    "else the usual one; of a flash the modelling lamp's watts"
)
PLATES = (
    "slate", "marble", "porcelain", "glass", "stainless steel", "aluminium", "oak", "acrylic", "frozen base",
    "another scoop", "cone",
)  # fmt: skip
PLATE_HINT = f"{', '.join(PLATES)}; empty: not told, and no foot is foretold"
