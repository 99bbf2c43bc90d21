"""The lights and what is pulled, that are offered wherever one is asked for."""

LIGHTS = ("LED", "daylight", "HMI", "tungsten", "flash, modelling off", "flash, modelling 250 W at 1 m", "none")
LIGHT_HINT = (
    "flash, HMI, LED, daylight or tungsten; with a meter reading if there is one (LED 2000 lx, tungsten EV 12), "
    "else the usual one; of a flash the modelling lamp's watts"
)
PULLED = (
    "scoop", "quenelle", "bar", "sandwich", "slice", "cone", "swirl", "pint", "tub", "carton", "open pint", "open tub",
)  # fmt: skip
PULLED_HINT = (
    "what is pulled, with its size where it has one of its own: scoop, quenelle, bar 20 x 60 x 100 mm, sandwich, "
    "slice, cone, swirl; a pint, tub or carton is closed, an open pint or open tub shows its face"
)
