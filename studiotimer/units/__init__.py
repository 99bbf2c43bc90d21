"""Units as people write them: one parser and one formatter for screen, files and command line.

Inside the program numbers are SI with temperatures in °C; text is turned into them here, once.
"""

from __future__ import annotations

from studiotimer.units.dates import date_of, date_words, iso_date
from studiotimer.units.quantities import (
    BOX,
    CHANGES,
    CO2,
    FREEZER,
    HEAT_LEAK,
    HOURS,
    ILLUMINANCE,
    LENGTH,
    LUX_AT_EV_0,
    MASS,
    MASS_RATE,
    MINUTES,
    PERCENT,
    SPEED,
    TEMPERATURE,
    TIME,
    VOLUME,
    WARMTH,
    Quantity,
    Style,
    UnitError,
)
from studiotimer.units.reading import (
    Question,
    Reading,
    Refused,
    Value,
    as_shown,
    checked,
    fraction,
    limits,
    parse,
    understood,
)
from studiotimer.units.showing import (
    K_PER_F,
    KG_PER_LB,
    duration,
    length,
    mass,
    show_in,
    shown_in,
    temperature,
    told,
)
from studiotimer.units.times import Ago, At, Shift, moment, time_of_day

__all__ = [
    "BOX", "CHANGES", "CO2", "FREEZER", "HEAT_LEAK", "HOURS", "ILLUMINANCE", "KG_PER_LB", "K_PER_F", "LENGTH",
    "LUX_AT_EV_0", "MASS", "MASS_RATE", "MINUTES", "PERCENT", "SPEED", "TEMPERATURE", "TIME", "VOLUME", "WARMTH",
    "Ago", "At", "Quantity", "Question", "Reading", "Refused", "Shift", "Style", "UnitError", "Value", "as_shown",
    "checked", "date_of", "date_words", "duration", "fraction", "iso_date", "length", "limits", "mass", "moment",
    "parse", "show_in", "shown_in", "temperature", "time_of_day", "told", "understood",
]  # fmt: skip
