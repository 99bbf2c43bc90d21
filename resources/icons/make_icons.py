"""Makes the program's icons: one hand, one pen, written beside this script as SVG files.

Each icon is a list of strokes on a square of 24; a stroke is an SVG path. Run it after changing one.
"""

from pathlib import Path

SCOOP = "M6 13a6 6 0 1 1 12 0"
RUFFLE = "M4.5 13q1.5 3 3 .3q1.5 2.7 3 0q1.5 2.7 3 0q1.5 2.7 3 0q1.5 2.7 3-.3"
SLAB = ["M3 14.5 7 11.5h14V17l-4 3.5H3v-6Z", "M3 14.5h14v6", "M17 14.5l4-3"]
TUB = ["M5 8h14l-1.5 12.5h-11L5 8Z", "M4 8V5h16v3"]
ICONS = {
    "pull": [SCOOP, RUFFLE, "M12 22.5V18", "M9.5 20.2 12 17.7l2.5 2.5"],
    "hero_in": [SCOOP, RUFFLE, "M5 20h14"],
    "swap": [
        "M3 11a3.5 3.5 0 1 1 7 0",
        "M2 11h9",
        "M14 20.5a3.5 3.5 0 1 1 7 0",
        "M13 20.5h9",
        "M14.5 5H18v6",
        "M15.8 9 18 11.2 20.2 9",
        "M9.5 19.5H6v-5",
        "M3.8 16.7 6 14.5l2.2 2.2",
    ],
    "out": ["M8 8.5a4 4 0 1 1 8 0", "M6.5 8.5h11", "M12 17.5v-5", "M9.5 14.7 12 12.2l2.5 2.5", "M5 20.5h14"],
    "look": [SCOOP, "M4.5 13h15", "M8.5 13v2.5", "M15 13v4.5", "M15 21.5v.01"],
    "top_up": [*SLAB, "M6 5q1.5-2.5 3 0t3 0t3 0", "M9 8.5q1.5-2.5 3 0t3 0t3 0"],
    "reading": ["M10 14.5V5a2 2 0 1 1 4 0v9.5a4 4 0 1 1-4 0Z", "M12 18v-7"],
    "got_it": ["M3.5 13a6 6 0 1 1 12 0", "M2 13h12", "M11.5 17.5 15 21l6.5-8"],
    "amend": ["M5 19l1-4L16 5l3 3L9 18l-4 1Z", "M14 7l3 3"],
    "take_back": ["M9 6 4.5 10.5 9 15", "M4.5 10.5H14a5 5 0 0 1 0 10h-3"],
    "restore": ["M15 6l4.5 4.5L15 15", "M19.5 10.5H10a5 5 0 0 0 0 10h3"],
    "judge": ["M6.5 11a5.5 5.5 0 1 1 11 0", "M5 11h14", "M3.5 18l2.3 2.5 4.2-5", "M14.5 15.5l5 5", "M19.5 15.5l-5 5"],
    "move": ["M3 9.5 8 7l5 2.5v6L8 18l-5-2.5v-6Z", "M15.5 12.5H21", "M18.5 9.5 21.5 12.5 18.5 15.5"],
    "brought": ["M3 20h18", "M7.5 20a4.5 4.5 0 0 1 9 0", "M12 3v9", "M8.5 8.5 12 12l3.5-3.5"],
    "stand_in": [
        "M6 14a6 6 0 0 1 2-4.5",
        "M10.5 8.2a6 6 0 0 1 3 0",
        "M16 9.5a6 6 0 0 1 2 4.5",
        "M4.5 14h15",
        "M7 20h10",
    ],
    "hold": ["M3.5 19a8.5 8.5 0 0 1 17 0", "M2 19h20", "M12 10.5V8", "M8.5 19a3.5 3.5 0 0 1 7 0"],
    "resume": ["M4.5 11.5a7.5 7.5 0 0 1 15 0", "M3 11.5h18", "M12 4V2", "M8.5 20.5a3.5 3.5 0 0 1 7 0", "M5 20.5h14"],
    "lamp": ["M4 5.5 13.5 3l2.5 7-9.5 3L4 5.5Z", "M13 11.5V21", "M9 21.5l4-4 4 4", "M2.5 11.5l1-.5", "M1.8 7.5h.9"],
    "poured": ["M4 4h9l-1.5 7h-6L4 4Z", "M12.5 5.5c3 0 4 1.5 4 4v2", "M13 21a3.5 3.5 0 0 1 7 0", "M11 21h11"],
    "frost_wiped": ["M5 8h14l-1.5 12h-11L5 8Z", "M4 8V5h16v3", "M12 11v6", "M9.4 12.5l5.2 3", "M14.6 12.5l-5.2 3"],
    "dew_wiped": ["M5 8h14l-1.5 12h-11L5 8Z", "M4 8V5h16v3", "M12 10.5c-3 4-2.5 6.5 0 6.5s3-2.5 0-6.5Z"],
    "note": ["M6 4h12v12l-4 4H6V4Z", "M9 9h6", "M9 13h4"],
    "shot": ["M4 8V4h4", "M16 4h4v4", "M20 16v4h-4", "M8 20H4v-4", "M9 14a3 3 0 1 1 6 0", "M8 14h8"],
    "tub": [*TUB, "M5.6 13h12.8"],
    "tub_finished": [*TUB, "M9.5 12l5 4.5", "M14.5 12l-5 4.5"],
    "delivery": ["M2 7h11v10H2V7Z", "M13 10h5l3 3.5V17h-8", "M5.5 17a2 2 0 1 0 4 0", "M15 17a2 2 0 1 0 4 0"],
    "door": ["M6 3h9v18H6V3Z", "M6 10h9", "M12 5.5v2", "M12 12.5v3", "M15 3l5 2.5v13L15 21"],
    "ice_cleared": [*SLAB, "M8 3l5 5", "M13 3l-5 5"],
    "frame": ["M4 4h16v16H4V4Z", "M8 14.5a4 4 0 0 1 8 0", "M7 14.5h10"],
    "clip": [
        "M3 5h18v14H3V5Z",
        "M3 8.5h18",
        "M3 15.5h18",
        "M8 5v3.5",
        "M12 5v3.5",
        "M16 5v3.5",
        "M8 15.5V19",
        "M12 15.5V19",
        "M16 15.5V19",
    ],
    "more": ["M5 12h.01", "M12 12h.01", "M19 12h.01"],
}
HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 24 24" fill="none" stroke="currentColor" '
PEN = 'stroke-width="1.8" stroke-linecap="round" stroke-linejoin="round">'

PROGRAM = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 64">
<rect width="64" height="64" rx="14" fill="#12171A"/>
<path d="M14 36a18 18 0 0 1 36 0" fill="#F0D9A6"/>
<path d="M11 36h42a3 3 0 0 1 0 6H46c-1 0-2 1-2 3s-1 6-3 6-3-4-3-6-1-3-2-3H11a3 3 0 0 1 0-6Z" fill="#D98B3A"/>
<path d="M32 36V23" stroke="#12171A" stroke-width="4" stroke-linecap="round"/>
<path d="M32 36l8-5" stroke="#12171A" stroke-width="4" stroke-linecap="round"/>
</svg>
"""


def main() -> None:
    """Write every icon."""
    here = Path(__file__).parent
    for name, strokes in ICONS.items():
        body = "".join(f'<path d="{stroke}"/>' for stroke in strokes)
        (here / f"{name}.svg").write_text(f"{HEAD}{PEN}{body}</svg>\n", encoding="utf-8")
    (here / "studiotimer.svg").write_text(PROGRAM, encoding="utf-8")


if __name__ == "__main__":
    main()
