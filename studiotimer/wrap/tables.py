"""scoops.csv and frames.csv: RFC 4180, and no cell that a spreadsheet would run."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from studiotimer.prep.looks import PACK_STAGES, STAGES
from studiotimer.session.entries import STAGES_SEEN
from studiotimer.wrap.aged import Aged, OnFrame, Series, all_series
from studiotimer.wrap.cells import to_csv
from studiotimer.wrap.passages import Passage
from studiotimer.wrap.review import Review, ScoopLife

FRAME_COLUMNS = (
    "frame", "taken_utc", "taken_local", "session_s", "shot", "look", "scoop", "flavour", "spot", "as",
    "since_pull_s", "on_set_s", "stage", "stage_from", "left_s", "shot_left_s", "local_air_c", "series", "of_series",
    "stack_change", "select", "length_s", "on_set_to_s", "stage_to",
)  # fmt: skip
SCOOP_COLUMNS = (
    "scoop", "flavour", "pulled_utc", "judged", "places", "shot", "spot", "as", "on_set_utc", "out_of_cold_s",
    "on_set_s", "working_s", *(f"{name.replace(' ', '_')}_s" for name in STAGES[1:]),
    *(f"{name.replace(' ', '_')}_seen_s" for name in STAGES_SEEN), "foot_seen_s", "poured_s",
    *(f"{name}_s" for name in PACK_STAGES[1:]), "wiped_s", "out", "marks",
)  # fmt: skip


def frames_csv(review: Review, frames: Sequence[Aged]) -> bytes:
    """Return frames.csv: a row for each scoop in each frame, one for a frame without."""
    rows = [
        _frame_row(review, frame, scoop, series)
        for series in all_series(frames)
        for frame in series.frames
        for scoop in (frame.scoops or (None,))
    ]
    return to_csv(FRAME_COLUMNS, rows)


def scoops_csv(review: Review) -> bytes:
    """Return scoops.csv: a row for each stay on set, one for a scoop that never was."""
    rows = [
        _scoop_row(review, scoop, passage, index == 0)
        for scoop in review.scoops
        for index, passage in enumerate(scoop.passages or (None,))
    ]
    return to_csv(SCOOP_COLUMNS, rows)


def _frame_row(review: Review, frame: Aged, scoop: OnFrame | None, series: Series) -> list[object]:
    local = review.session.local(frame.at)
    head = [
        frame.name, _utc(local), local.isoformat(timespec="milliseconds"), frame.at,
        frame.shot.name if frame.shot else None, frame.shot.look if frame.shot else None,
    ]  # fmt: skip
    tail = [
        frame.left_s, frame.local_air_c, frame.series, frame.of_series, series.change or None, frame.select,
        frame.length_s,
    ]  # fmt: skip
    if scoop is None:
        return [*head, *[None] * 9, *tail, None, None]
    stay = scoop.passage.stay
    return [
        *head, stay.scoop, stay.flavour, stay.spot, "hero" if stay.hero else "stand-in", scoop.since_pull_s,
        scoop.on_set_s, scoop.stage_words, "seen" if scoop.seen else "estimated", scoop.left_s, *tail,
        scoop.until_s, scoop.passage.stages[scoop.stage_until] if scoop.until_s is not None else None,
    ]  # fmt: skip


def _scoop_row(review: Review, scoop: ScoopLife, passage: Passage | None, first: bool) -> list[object]:
    places = " > ".join(stay.place for stay in scoop.stays)
    head = [scoop.number, scoop.flavour, _utc(review.session.local(scoop.pulled)), scoop.judged, places]
    tail = [scoop.why_out, "; ".join(scoop.marks)]
    if passage is None:
        return [*head, *[None] * (len(SCOOP_COLUMNS) - len(head) - len(tail)), *tail]
    stay = passage.stay
    wall = passage.stages is PACK_STAGES
    came = [start - stay.since if start <= stay.until else None for start in passage.starts[1:]]
    reached, walls = ([None] * 5, came) if wall else (came, [None] * 3)
    seen = [
        passage.starts[index] - stay.since if index in passage.seen and not wall else None
        for index in range(2, len(STAGES))
    ]  # fmt: skip
    wiped = max((at - stay.since for at, _ in scoop.wiped if stay.since <= at <= stay.until), default=None)
    looks = review.session.state.scoops[scoop.number].seen
    foot = next((at - stay.since for at, what in looks if what == "foot" and stay.since <= at <= stay.until), None)
    poured = next((pour.at - stay.since for pour in scoop.pours if stay.since <= pour.at <= stay.until), None)
    return [
        *head, stay.shot, stay.spot, "hero" if stay.hero else "stand-in", _utc(review.session.local(stay.since)),
        scoop.out_of_cold_s if first else None, stay.until - stay.since,
        passage.working_s() if stay.hero else None, *reached, *seen, foot, poured, *walls, wiped,
        *tail,
    ]  # fmt: skip


def _utc(at: dt.datetime) -> str:
    return at.astimezone(dt.UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
