"""What the Prep page asks, in the order it asks it, with what each thing means."""

from __future__ import annotations

from typing import get_args

from studiotimer import plates
from studiotimer.prep.parts import PlateIs, Sold
from studiotimer.thermal.charge import Form
from studiotimer.thermal.light import Tone
from studiotimer.window.lights import LIGHT_HINT, LIGHTS, PULLED, PULLED_HINT
from studiotimer.window.look_words import LOOK_WORDS
from studiotimer.window.prep.written_fields import Ask

LOOKS = tuple(LOOK_WORDS.items())
TONES = tuple((tone, tone) for tone in get_args(Tone))
PLATE_IS = tuple((state, state) for state in get_args(PlateIs))
FORMS = tuple((form, form) for form in get_args(Form))
PLATES = tuple((name, name) for name in plates.names())
PLATE_HINT = f"{', '.join(plates.names())}; empty: not told, and no foot is foretold"
SOLD = tuple((sold, sold) for sold in get_args(Sold))

DAY = (
    Ask(("title",), "title", "what the shoot is called", share=14),
    Ask(("client",), "client", "whom the pictures are for; empty: not said", empty="not said", beside=True),
    Ask(("date",), "date", "the day of the shoot: 14 Jun 2026 or 2026-06-14", "date"),
    Ask(("call_time",), "call time", "when everyone is there: 9:00 or 7am", "time", beside=True, share=8),
    Ask(("lunch_at",), "lunch at", "at the earliest, never through a hero: 12:30", "time", empty="none",
        beside=True, share=8),
    Ask(("lunch",), "it takes", "how long lunch is: 45 min", beside=True, share=8),
)  # fmt: skip
PLACE = (
    Ask(("place", "studio"), "studio", "what it is called", empty="not said"),
    Ask(("place", "city"), "city", "for the sunset, where light comes through a window", empty="not said", beside=True),
    Ask(("place", "address"), "address", "as it goes on the run sheet and to suppliers", empty="not said"),
)
PERSON = (
    Ask(("role",), "role", "what they are on this shoot: stylist, photographer, client, producer"),
    Ask(("name",), "name", "who it is", empty="not said", beside=True),
    Ask(("phone",), "phone", "as it goes on the run sheet", empty="not said"),
    Ask(("email",), "email", "where messages go", empty="not said", beside=True, share=13),
)
STUDIO = (
    Ask(("room", "air"), "room", "its air, lights on: 22 °C or 72 °F"),
    Ask(("room", "humidity"), "humidity", "of the room's air: 45 %", beside=True),
    Ask(("room", "volume"), "volume", "of the room, for CO₂: 200 m3 or 7000 ft3", beside=True),
)
PULLS = (
    Ask(("width",), "scoop width", "across the scoop: 65 mm or 2.5 in"),
    Ask(("good_share",), "good pulls", "share of pulls good enough to be a hero: 1 in 3, or 33 %", beside=True),
    Ask(("confidence",), "certainty", "how sure you want to be that there are enough: 95 %", beside=True),
    Ask(("pull_to_set",), "pull to set", "from the pull until the scoop stands on set: 75 s"),
    Ask(("pull",), "one pull", "in the room's air, from the freezer to where the scoop waits: 30 s", beside=True),
    Ask(("carry",), "the carry", "from where the scoop waits to the set: 15 s", beside=True),
    Ask(("freezers",), "freezers named", "chest, upright: freezer 1 first", empty="by number", share=20),
    Ask(("freezer",), "freezer set to", "-16 °C; empty: as advised", empty="advised", beside=True),
)
FLAVOUR = (
    Ask(("tone",), "tone", "how much light it takes up: pale, mid or dark", "choice", TONES, beside=True, share=62),
    Ask(("freezer",), "freezer", "flavours of one number share a freezer: 1", "count", beside=True, share=38),
)
PULLED_AS = Ask(("form",), "pulled as", PULLED_HINT, choices=tuple((name, name) for name in PULLED), beside=True,
                share=11)  # fmt: skip
SPARE_TUBS = Ask(("spare_tubs",), "spare", "tubs over what the pulls need: one may arrive soft, or drop", "count",
                 beside=True, share=6, usual="1")  # fmt: skip
SCOOP = (
    Ask(("flavour",), "scoop", "its flavour", "choice", share=12),
    Ask(("spot",), "spot", "where it stands in the frame: left, top", beside=True),
)
STEP = (
    Ask(("what",), "dressing", "what is done to the heroes: caramel, sprinkles", share=12),
    Ask(("who",), "who", "who does it: stylist", empty="anyone", beside=True),
    Ask(("seconds",), "takes", "10 s"),
    Ask(("temperature",), "sauce at", "how warm it is poured: 30 °C; empty: no sauce", empty="no sauce", beside=True),
    Ask(("amount",), "a scoop gets", "20 g, 15 ml or 2 wafers; empty: not ordered", empty="not ordered", beside=True,
        share=12),
)  # fmt: skip
SHOT_NAME = (Ask(("name",), "shot", "what the shot is called"),)
SHOT = (
    Ask(("look",), "look", "what the ice cream does in this picture", "choice", LOOKS, share=24),
    Ask(("foot_in_frame",), "foot seen", "its foot is in the frame, so that liquid there ends the shot", "tick",
        beside=True, share=12),
    Ask(("light",), "light", LIGHT_HINT, choices=tuple((words, words) for words in LIGHTS), share=14),
    Ask(("stands_on",), "stands on", PLATE_HINT, choices=PLATES, empty="not told",
        beside=True, share=11),
    Ask(("stacked",), "stacked", "its heroes stand one on another, the first lowest: replaced together", "tick",
        beside=True, share=9),
    Ask(("plate_is",), "plate is", "how cold it is when the hero comes", "choice", PLATE_IS, share=13),
    Ask(("plate_at",), "chilled to", "4 °C", empty="not so", beside=True, share=9),
    Ask(("plate",), "thick", "how thick the plate is: 8 mm; empty: as usual", empty="usual", beside=True, share=8),
    Ask(("base",), "base", "across where it stands: 36 mm; empty: as usual", empty="usual", beside=True, share=8),
)  # fmt: skip
FRAMES = (
    Ask(("takes",), "takes", "how often the whole shot is wanted: 1", "count", share=8),
    Ask(("frames",), "frames a take", "8", "count", beside=True),
    Ask(("between",), "one frame every", "from one frame to the next: 6 s", beside=True),
    Ask(("dressing",), "dressing", "until the hero is dressed; the sum of its steps where there are some: 20 s",
        beside=True),
    Ask(("spares",), "spares", "good scoops ready over those needed: 1", "count", share=8),
    Ask(("stand_ins",), "stand-ins", "real product the light is built on: 1", "count", beside=True),
    Ask(("locks",), "time to lock", "to build and lock light, set and camera: 20 min", beside=True),
    Ask(("set_change",), "set change", "before its locks: 10 min", beside=True),
    Ask(("approval",), "approval", "the client looks and says yes after the last frame: 5 min", share=10),
    Ask(("nothing_moves",), "nothing moves", "light, set and camera stay locked from the shot before", "tick",
        beside=True, share=20),
)  # fmt: skip
DELIVERY = (
    Ask(("supplier",), "supplier", "who brings the product", empty="not said"),
    Ask(("contact",), "contact", "whom to ring there", empty="not said", beside=True),
    Ask(("phone",), "phone", "of the contact", empty="not said", beside=True),
    Ask(("email",), "email", "where the order goes", empty="not said", share=14),
    Ask(("order_by",), "order by", "the supplier's last day to order: 10 Jun 2026", "date", empty="not said",
        beside=True),
    Ask(("day",), "truck comes", "the day: 17 Jun 2026; empty: not said", "date", empty="not said", share=12),
    Ask(("from_time",), "from", "when it may come first: 7:00", "time", empty="?", beside=True, share=8),
    Ask(("to_time",), "until", "when it may come last: 9:00", "time", empty="?", beside=True, share=8),
    Ask(("cartons",), "cartons", "how many it brings; they are counted", "count", empty="?", beside=True, share=8),
)  # fmt: skip
DELIVERED = Ask(("delivered",), "delivered at", "how cold the product is on the truck: -18 °C or 0 °F")
ICE = (
    Ask(("holding_box",), "dry-ice box", "scoops wait in a box with dry ice", "tick"),
    Ask(("box",), "box at", "-40 °C", beside=True),
    Ask(("box_wait",), "time in the box", "how long a scoop waits there: 10 min", beside=True),
    Ask(("target_air",), "air at the set", "held by dry ice on set: 6 °C; empty: none on set", empty="no ice"),
    Ask(("top_up_every",), "top-up every", "30 min", beside=True),
    Ask(("hours",), "box used for", "6 h; empty: the whole day", empty="all day", beside=True),
    Ask(("form",), "form", "how it is bought", "choice", FORMS),
    Ask(("box_grid",), "box slots", "columns x rows of scoops it holds: 4 x 3; empty: no slots", empty="none",
        beside=True),
    Ask(("tray_grid",), "tray slots", "columns x rows: 4 x 2; empty: no slots", empty="none", beside=True),
    Ask(("sold",), "sold", "how the supplier sells it", "choice", SOLD),
    Ask(("unit",), "block or bag", "what one weighs: 10 lb; empty: as usual", empty="as usual", beside=True),
    Ask(("minimum",), "least order", "the least the supplier sells: 50 lb; empty: none", empty="none", beside=True),
    Ask(("fetch_from",), "fetched from", "the supplier opens: 7:00", "time"),
    Ask(("fetch_until",), "until", "the supplier closes: 17:00", "time", beside=True),
    Ask(("pickup_before",), "picked up before use", "time between pick-up and use: 2 h", beside=True),
    Ask(("supplier",), "supplier", "who sells the dry ice", empty="not said"),
    Ask(("contact",), "contact", "whom to ring there", empty="not said", beside=True),
    Ask(("phone",), "phone", "of the contact", empty="not said", beside=True),
    Ask(("email",), "email", "where the order goes", empty="not said", share=14),
    Ask(("order_by",), "order by", "the supplier's last day to order", "date", empty="not said", beside=True),
    Ask(("margin",), "margin", "bought over what is needed: 15 %", share=8),
    Ask(("co2_monitor",), "CO₂ monitor", "the studio has one with an alarm; else one is put on the list", "tick",
        beside=True, share=20),
)  # fmt: skip
TIMING = (
    Ask(("test_pulls_before",), "test pulls", "before call time: 1 h"),
    Ask(("stand_ins_before",), "stand-ins", "on set before call time: 30 min", beside=True),
    Ask(("reset",), "set reset", "set made ready between heroes: 3 min", beside=True),
    Ask(("freezer_pull_down",), "freezer cools", "time it takes to get cold: 12 h"),
    Ask(("hero_takes",), "a hero takes", "from one hero in to the next, as past sessions took it", empty="forecast",
        beside=True),
)  # fmt: skip
PHYSICS = (
    Ask(("dry_ice", "gain_k_per_w"), "cooling (K per W)", "how much a watt of dry ice cools the air at the set; a "
        "reading there tells", "number", usual="0.15", told="a watt of dry ice"),
    Ask(("edge",), "edge", "half the thickness of the ruffle", beside=True, usual="1.2 mm"),
    Ask(("room", "changes"), "air changes", "how often an hour the room's air is new", usual="2/h"),
    Ask(("dry_ice", "box_loss"), "box loss a day", "of dry ice: 8 lb/day or 20 W", beside=True, usual="8 lb/day"),
    Ask(("timezone",), "time zone", "Europe/Paris; empty: the place's own", empty="the place's own", usual="empty"),
)  # fmt: skip
OWN_SIZE = (
    Ask(("across",), "across", "240 mm"),
    Ask(("depth",), "deep", "250 mm", beside=True),
    Ask(("length",), "long", "360 mm; empty: a round tub", empty="round", beside=True),
)
CUT = Ask(("cut",), "pieces a tub", "into how many it is cut; 1: whole", "count", beside=True, share=7)
