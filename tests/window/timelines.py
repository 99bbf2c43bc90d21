"""Invented timelines of any size."""

from datetime import UTC, datetime

from studiotimer.wrap.timeline import Mark, Picture, Row, Span, Timeline

STAGES = ("frosted", "matte", "sheen", "edges gone", "dripping")


def large(scoops, frames, length=40_000.0):
    rows = []
    for number in range(1, scoops + 1):
        begin = number * (length - 1500) / scoops
        stages = tuple(
            Span(begin + 600 + 40 * index, begin + 640 + 40 * index, name) for index, name in enumerate(STAGES)
        )
        places = (Span(begin, begin + 60, "tray"), Span(begin + 60, begin + 600, "box", assumed=number % 7 == 0))
        hero = (Span(begin + 600, begin + 800, "coupe"),)
        looks = (Mark(begin + 680, "sheen seen"),)
        rows.append(Row(number, f"flavour {number % 5}", places, stages, hero, looks, "gone"))
    every = length / max(frames, 1)
    return Timeline(
        "large",
        0.0,
        length,
        datetime(2026, 6, 14, 8, 0, tzinfo=UTC),
        tuple(rows),
        (Span(0.0, length / 2, "coupe, crisp look"), Span(length / 2, length, "drips, melt look")),
        (Span(1000.0, 1300.0, "tea"),),
        tuple(Mark(index * 400.0, "swap, 2 replaces 1") for index in range(int(length // 400))),
        tuple(Mark(index * 1800.0, "top-up 1 kg") for index in range(int(length // 1800))),
        tuple(Mark(index * 900.0, "air at the set 12 °C") for index in range(int(length // 900))),
        tuple((index * length / 240, 12.0 + index % 9) for index in range(241)),
        tuple(Picture(index * every, f"F{index}", index % 9 == 0) for index in range(frames)),
    )
