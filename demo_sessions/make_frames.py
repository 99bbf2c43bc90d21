"""Draws the demo sessions' frames: invented scoops that soften with age, with the EXIF a camera would write.

`make.py` runs it when the sessions are made; the same sessions give the same frames.
"""

from __future__ import annotations

import csv
import datetime as dt
import math
import random
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

from PIL import Image, ImageDraw, ImageFilter

from studiotimer.wrap.passages import Passage
from studiotimer.wrap.recorded import Recorded, load
from studiotimer.wrap.review import review_of

SIZE = (216, 144)
QUALITY = 60
EVERY_S = {"calm_led": 7.0, "hot_tungsten": 7.0, "three_gallon": 13.0}
ZONES = {"calm_led": 2, "hot_tungsten": 2, "three_gallon": -5}
"""Hours that each demo's clocks were ahead of UTC."""
FLAVOURS = {
    "vanilla": (243, 229, 196), "brown butter": (205, 160, 104), "hazelnut": (181, 140, 106),
    "blood orange": (224, 106, 74), "sweet cream": (246, 238, 220), "black cherry": (168, 84, 108),
    "salted chocolate": (104, 74, 60), "chocolate bar": (96, 66, 52), "chocolate pint": (226, 214, 190),
}  # fmt: skip
DRAWN = {"chocolate bar": "bar", "chocolate pint": "pint"}
"""What is drawn of a flavour that is no scoop."""
LIFTED = {"top": 1.7, "second": 2.3, "highest": 3.6}
"""How far above the table a spot is, in radii; the others stand on it."""
SPOTS = {"centre": 0.5, "cone": 0.5, "middle": 0.5, "left": 0.27, "top": 0.5, "right": 0.73}
CAMERAS = {"calm_led": ("SLATE", 0.0), "hot_tungsten": ("COUPE", -3.0), "three_gallon": ("FAIR", 0.0)}
"""Each demo's file names begin with this, and its camera's clock was ahead by this [s]."""

Frame = tuple[float, list[Passage]]


def frames_of(session: Recorded, passages: list[Passage], every_s: float) -> Iterator[Frame]:
    """Yield when frames were taken, and of which heroes: one every few seconds, now and then a stack of four."""
    dice = random.Random(session.name)
    heroes = [one for one in passages if one.stay.hero]
    at = min(one.stay.since for one in heroes) + 6.0
    end = max(one.stay.until for one in heroes)
    while at < end:
        there = [one for one in heroes if one.stay.since + 3.0 <= at < one.stay.until]
        for part in range(4 if there and dice.random() < 0.12 else 1):
            if there:
                yield at + part * 0.55, there
        at += every_s * dice.uniform(0.7, 1.5)


def softness(passage: Passage, at: float) -> float:
    """Return 0 (frosted) to 5 (slumped), moving evenly between the stages' times."""
    passage, stage = passage.then(at), passage.stage_at(at)
    begin = passage.starts[stage]
    end = passage.starts[stage + 1] if stage + 1 < len(passage.starts) else math.inf
    return stage + (0.0 if math.isinf(end) or end <= begin else min((at - begin) / (end - begin), 1.0))


def picture(there: list[Passage], at: float) -> Image.Image:
    """Return a drawn frame."""
    scale = 3
    width, height = SIZE[0] * scale, SIZE[1] * scale
    image = Image.new("RGB", (width, height), (203, 214, 211))
    draw = ImageDraw.Draw(image)
    draw.rectangle((0, int(height * 0.78), width, height), fill=(88, 96, 99))
    for passage in sorted(there, key=lambda one: one.stay.spot != "top"):
        paint = {"bar": _bar, "pint": _pint}.get(DRAWN.get(passage.stay.flavour, ""), _scoop)
        paint(draw, passage, at, width, height, len(there))
    return image.filter(ImageFilter.GaussianBlur(1.2)).resize(SIZE, Image.Resampling.LANCZOS)


def _scoop(draw: ImageDraw.ImageDraw, passage: Passage, at: float, width: int, height: int, count: int) -> None:
    soft = softness(passage, at)
    dice = random.Random(passage.stay.scoop)
    tower = passage.stay.spot in ("lowest", "second", "highest")
    radius = height * (0.30 if count == 1 else 0.14 if tower else 0.21)
    x = width * SPOTS.get(passage.stay.spot, 0.5)
    y = height * 0.78 - radius * LIFTED.get(passage.stay.spot, 0.75)
    colour = FLAVOURS.get(passage.stay.flavour, (230, 220, 200))
    ruffle = radius * 0.10 * max(1.0 - soft / 3.5, 0.04)
    waves = [(dice.randint(9, 21), dice.uniform(0, math.tau), dice.uniform(0.4, 1.0)) for _ in range(5)]
    slump = 1.0 + max(soft - 3.0, 0.0) * 0.10
    outline = []
    for step in range(240):
        turn = step / 240 * math.tau
        rough = sum(math.sin(n * turn + shift) * part for n, shift, part in waves) / len(waves)
        far = radius + ruffle * rough * 2
        outline.append((x + far * math.cos(turn) * slump, y + far * math.sin(turn) / slump))
    draw.polygon(outline, fill=colour)
    dark = tuple(int(part * 0.88) for part in colour)
    for line in range(4):
        lift = y - radius * 0.5 + line * radius * 0.3
        if soft < 3.2:
            draw.arc((x - radius * 0.8, lift, x + radius * 0.8, lift + radius * 0.5), 20, 160, fill=dark, width=4)
    if soft < 1.0:
        frost = tuple(int(part + (255 - part) * 0.45 * (1 - soft)) for part in colour)
        for _ in range(60):
            a, far = dice.uniform(0, math.tau), radius * dice.uniform(0.2, 0.9)
            spot = (x + far * math.cos(a), y + far * math.sin(a))
            draw.ellipse((spot[0] - 3, spot[1] - 3, spot[0] + 3, spot[1] + 3), fill=frost)
    if soft >= 2.0:
        shine = min((soft - 2.0) * 0.6 + 0.3, 1.0)
        light = tuple(int(part + (255 - part) * 0.8 * shine) for part in colour)
        draw.ellipse((x - radius * 0.5, y - radius * 0.72, x - radius * 0.1, y - radius * 0.45), fill=light)
    for drip in range(int(max(soft - 3.6, 0.0) * 5)):
        left = x + radius * slump * dice.uniform(-0.8, 0.8)
        draw.rounded_rectangle((left, y + radius * 0.4, left + 9, y + radius * (0.9 + 0.1 * drip)), 5, fill=colour)


def _bar(draw: ImageDraw.ImageDraw, passage: Passage, at: float, width: int, height: int, _count: int) -> None:
    """Draw a bar on its stick, its corners rounder the softer it is."""
    soft, colour = softness(passage, at), FLAVOURS[passage.stay.flavour]
    x, y, wide, high = width * 0.5, height * 0.30, height * 0.30, height * 0.42
    draw.rounded_rectangle((x - 9, y + high - 6, x + 9, y + high + height * 0.16), 8, fill=(214, 190, 150))
    draw.rounded_rectangle((x - wide / 2, y, x + wide / 2, y + high), int(10 + 16 * min(soft, 4.0)), fill=colour)
    if soft >= 2.0:
        light = tuple(int(part + (255 - part) * 0.5) for part in colour)
        draw.ellipse((x - wide * 0.32, y + 14, x - wide * 0.12, y + high * 0.4), fill=light)


def _pint(draw: ImageDraw.ImageDraw, passage: Passage, at: float, width: int, height: int, _count: int) -> None:
    """Draw a closed pint, with frost or dew on its wall."""
    stage, dice = passage.stage_at(at), random.Random(passage.stay.scoop)
    x, top, foot = width * 0.5, height * 0.24, height * 0.80
    wall = [(x - height * 0.24, top), (x + height * 0.24, top), (x + height * 0.19, foot), (x - height * 0.19, foot)]
    draw.polygon(wall, fill=FLAVOURS[passage.stay.flavour])
    draw.rectangle((x - height * 0.21, height * 0.42, x + height * 0.21, height * 0.58), fill=(104, 74, 60))
    draw.rounded_rectangle((x - height * 0.26, top - 18, x + height * 0.26, top + 8), 8, fill=(90, 60, 48))
    for _ in range((0, 320, 130, 170)[stage]):
        place = x + height * dice.uniform(-0.19, 0.19), dice.uniform(top + 12, foot - 4)
        size = 2.0 if stage == 1 else dice.uniform(2.0, 5.0)
        long = size * (4.0 if stage == 3 and dice.random() < 0.3 else 1.0)
        shade = (250, 252, 252) if stage == 1 else (236, 244, 248)
        draw.ellipse((place[0] - size, place[1] - size, place[0] + size, place[1] + long), fill=shade)


def screen(words: str) -> Image.Image:
    """Return a drawn frame of the crew screen's time of day."""
    image = Image.new("RGB", SIZE, (18, 23, 26))
    ImageDraw.Draw(image).text((58, 56), words, fill=(244, 237, 224), font_size=26)
    return image


def save(image: Image.Image, path: Path, taken: dt.datetime) -> None:
    """Write a frame with the time its camera gave it (aware)."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Demo", "Drawn frame"
    inner = exif.get_ifd(0x8769)
    inner[0x9003] = f"{taken:%Y:%m:%d %H:%M:%S}"
    inner[0x9291] = f"{taken.microsecond // 10_000:02d}"
    inner[0x9011] = f"{taken:%z}"[:3] + ":00"
    image.save(path, "JPEG", quality=QUALITY, exif=exif, optimize=True)


def make(folder: Path) -> None:
    """Draw the frames of the demo in `folder`, and choose some."""
    session = load(folder / f"{folder.name}.setlog")
    start, ahead_s = CAMERAS[folder.name]
    zone = dt.timezone(dt.timedelta(hours=ZONES[folder.name]))
    out = folder / "frames"
    shutil.rmtree(out, ignore_errors=True)
    out.mkdir()
    wall = session.ledger.wall_time
    first = min(one.stay.since for one in review_of(session).heroes) - 30.0
    shown = wall(first).astimezone(zone)
    save(screen(f"{shown:%H:%M:%S}"), out / f"{start}_0001.JPG", shown + dt.timedelta(seconds=ahead_s))
    dice, chosen = random.Random(f"{session.name} selects"), []
    review = review_of(session)
    for number, (at, there) in enumerate(frames_of(session, list(review.passages.values()), EVERY_S[folder.name]), 2):
        path = out / f"{start}_{number:04d}.JPG"
        save(picture(there, at), path, (wall(at) + dt.timedelta(seconds=ahead_s)).astimezone(zone))
        begins, ends = zip(*(one.window(session.shot_at(at), at) for one in there), strict=True)
        begin, end = max(begins), min(ends)
        share = (at - begin) / max(end - begin, 1.0) if math.isfinite(end) else (at - begin) / 240.0
        if 0.0 < share < 0.85 and dice.random() < 0.9:
            chosen.append(path.name)
    with (folder / "selects.csv").open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([["frame"], *([name] for name in chosen)])


def main(folder: Path) -> None:
    """Draw the frames of every demo below `folder`."""
    for name in CAMERAS:
        make(folder / name)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
