"""What the Prep page asks, in the order it asks it."""

from __future__ import annotations

from typing import get_args

from studiotimer.prep.parts import Form, PlateIs, Tone
from studiotimer.window.lights import LIGHT_HINT, LIGHTS, PLATE_HINT, PLATES
from studiotimer.window.looks import LOOK_WORDS
from studiotimer.window.prep.fields import Ask

LOOKS = tuple(LOOK_WORDS.items())
TONES = tuple((tone, tone) for tone in get_args(Tone))
PLATE_IS = tuple((state, state) for state in get_args(PlateIs))
FORMS = tuple((form, form) for form in get_args(Form))

DAY = (
    Ask(("title",), "Title", "what the shoot is called"),
    Ask(("date",), "Date", "14 Jun 2026 or 2026-06-14", "date"),
    Ask(("call_time",), "Call time", "9:00 or 7am", "time"),
    Ask(("timezone",), "Time zone", "Europe/Paris; empty: the place's own", empty="local"),
)
STUDIO = (
    Ask(("room", "air"), "Room", "22 °C or 72 °F"),
    Ask(("room", "humidity"), "Humidity", "45 %", beside=True),
    Ask(("room", "volume"), "Volume", "200 m3 or 7000 ft3"),
    Ask(("room", "changes"), "Air changes", "2/h", beside=True),
)
PULLS = (
    Ask(("width",), "Scoop width", "65 mm or 2.5 in"),
    Ask(("good_share",), "Good pulls", "share of pulls good enough to be a hero: 1 in 3, or 33 %", beside=True),
    Ask(("pull_to_set",), "Pull to set", "75 s"),
    Ask(("confidence",), "Certainty", "95 %", beside=True),
    Ask(("pull",), "One pull", "30 s: in the room's air, from the freezer to where the scoop waits"),
    Ask(("carry",), "The carry", "15 s: from where the scoop waits to the set", beside=True),
    Ask(("delivered",), "Delivered at", "-18 °C or 0 °F"),
    Ask(("freezers",), "Freezers named", "chest, upright: freezer 1 first", empty="by number"),
    Ask(("freezer",), "Freezer at", "-16 °C; empty: as advised", empty="advised", beside=True),
)
FLAVOUR = (
    Ask(("tone",), "Tone", kind="choice", choices=TONES),
    Ask(("freezer",), "Freezer no.", "1: flavours of one number share a freezer", "count", beside=True),
)
SHOT = (
    Ask(("name",), "Shot", "what the shot is called"),
    Ask(("look",), "Look", kind="choice", choices=LOOKS),
    Ask(("light",), "Light", LIGHT_HINT, choices=tuple((words, words) for words in LIGHTS)),
    Ask(("stands_on",), "Stands on", PLATE_HINT, choices=tuple((name, name) for name in PLATES), empty="not told"),
    Ask(("plate",), "Plate", "how thick it is: 8 mm; empty: as usual", empty="as usual"),
    Ask(("base",), "Base", "across where it stands: 36 mm; empty: as usual", empty="as usual", beside=True),
    Ask(("plate_is",), "Plate is", kind="choice", choices=PLATE_IS),
    Ask(("plate_at",), "Chilled to", "4 °C", empty="not chilled"),
    Ask(("foot_in_frame",), "Its foot is in the frame", kind="tick"),
    Ask(("dressing",), "Dressing", "20 s"),
    Ask(("takes",), "Takes", "1", "count", beside=True),
    Ask(("frames",), "Frames a take", "8", "count"),
    Ask(("between",), "Frame every", "6 s", beside=True),
    Ask(("spares",), "Spares", "1", "count"),
    Ask(("stand_ins",), "Stand-ins", "1: real product the light is built on", "count", beside=True),
    Ask(("locks",), "Time to lock", "time to build and lock light, set and camera: 20 min"),
)
ICE = (
    Ask(("holding_box",), "Dry-ice box", kind="tick"),
    Ask(("box",), "Box at", "-40 °C"),
    Ask(("box_wait",), "In the box", "10 min", beside=True),
    Ask(("box_loss",), "Box loss", "of dry ice a day: 8 lb/day or 20 W"),
    Ask(("hours",), "Box used for", "6 h; empty: the whole day", empty="all day", beside=True),
    Ask(("box_grid",), "Box slots", "columns x rows of scoops it holds: 4 x 3; empty: no slots", empty="none"),
    Ask(("tray_grid",), "Tray slots", "columns x rows: 4 x 2; empty: no slots", empty="none", beside=True),
    Ask(("target_air",), "Air at the set", "6 °C; empty: no dry ice on set", empty="no ice"),
    Ask(("top_up_every",), "Top-up every", "30 min", beside=True),
    Ask(("form",), "Form", kind="choice", choices=FORMS),
    Ask(("gain_k_per_w",), "K per W", "how much a watt cools the air; a reading tells: 0.15", "number", beside=True),
    Ask(("pickup_before",), "Pick-up to use", "time between pick-up and use: 2 h"),
    Ask(("margin",), "Margin", "15 %", beside=True),
    Ask(("co2_monitor",), "The studio has a CO₂ monitor", kind="tick"),
)  # fmt: skip
MORE = (
    Ask(("test_pulls_before",), "Test pulls", "before call time: 1 h"),
    Ask(("stand_ins_before",), "Stand-ins", "before call time: 30 min", beside=True),
    Ask(("freezer_pull_down",), "Freezer cools", "time it takes to get cold: 12 h"),
    Ask(("reset",), "Set reset", "set made ready between heroes: 3 min", beside=True),
    Ask(("edge",), "Edge", "half the thickness of the ruffle: 1.2 mm"),
)
OWN_SIZE = (
    Ask(("across",), "Across", "240 mm"),
    Ask(("depth",), "Depth", "250 mm", beside=True),
    Ask(("length",), "Length", "360 mm; empty: a round tub", empty="round"),
)
CUT = Ask(("cut",), "Pieces a tub", "pieces; 1: whole", "count", beside=True)
