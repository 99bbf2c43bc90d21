"""Several sessions side by side: working time by mix and set, over a folder of sessions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median

from studiotimer.lamps import told
from studiotimer.prep.looks import Look
from studiotimer.session.first_lines import SUFFIX, SessionFileError
from studiotimer.session.learning import mix_names
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.wrap.cells import to_csv
from studiotimer.wrap.frames import Progress, go_on, heed
from studiotimer.wrap.recorded import load
from studiotimer.wrap.review import Review, review_of

COLUMNS = (
    "session", "date", "mix", "set", "look", "heroes", "ended_seen", "working_s", "shortest_s", "longest_s",
    "air_on_set_c",
)  # fmt: skip


@dataclass(frozen=True)
class Worked:
    """The working times of one mix under one light, look and session [s]; a time past 3 h stands as 3 h."""

    session: str
    date: str
    mix: str
    set: str
    look: Look
    heroes: int
    ended_seen: int
    working_s: float
    shortest_s: float
    longest_s: float
    air_c: float


def worked(review: Review) -> list[Worked]:
    """Return the working times of a session's heroes, by mix, set and look."""
    session = review.session
    mixes = mix_names(session.plan, {hero.stay.flavour for hero in review.heroes})
    groups: dict[tuple[str, str, Look], list[tuple[float, bool, float]]] = {}
    for hero in review.heroes:
        asked = hero.stay.asked
        if asked is None:
            continue
        light = told(asked.lamp, asked.lux)
        air = session.climate.local_air_c((hero.stay.since + hero.stay.until) / 2)
        known = min(hero.working_s(), HORIZON_S), hero.ended_as_seen(), air
        groups.setdefault((mixes[hero.stay.flavour], light, asked.look), []).append(known)
    return [
        Worked(
            session.name, str(session.local(session.begin).date()), mix, light, look, len(each),
            sum(seen for _, seen, _ in each), median(span for span, _, _ in each), min(span for span, _, _ in each),
            max(span for span, _, _ in each), median(air for _, _, air in each),
        )
        for (mix, light, look), each in sorted(groups.items())
    ]  # fmt: skip


def of_folder(folder: Path, progress: Progress = go_on) -> tuple[list[Worked], list[str]]:
    """Return the working times of every session below `folder`, and a sentence for each that cannot be read.

    Raises StoppedError when `progress` says so.
    """
    paths = sorted(path for path in folder.rglob(f"*{SUFFIX}") if path.is_file())
    found, failed = [], []
    for done, path in enumerate(paths):
        heed(progress, done, len(paths))
        try:
            found += worked(review_of(load(path)))
        except SessionFileError as error:
            failed.append(str(error))
    progress(len(paths), len(paths))
    return sorted(found, key=lambda one: (one.mix, one.set, one.look, one.date, one.session)), failed


def sessions_csv(rows: Sequence[Worked]) -> bytes:
    """Return the working times as CSV."""
    return to_csv(
        COLUMNS,
        [
            (one.session, one.date, one.mix, one.set, one.look, one.heroes, one.ended_seen, one.working_s,
             one.shortest_s, one.longest_s, one.air_c)
            for one in rows
        ],
    )  # fmt: skip
