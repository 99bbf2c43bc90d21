"""What the day showed, in a few sentences a stylist would say: what was found, then what to do about it (own rules)."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from statistics import median

from studiotimer.prep.found import counted, percent
from studiotimer.prep.looks import STAGES, Look
from studiotimer.prep.plan import Plan
from studiotimer.prep.pulls_needed import products
from studiotimer.prep.shots import groups_of
from studiotimer.units import duration
from studiotimer.wrap.aged import Aged
from studiotimer.wrap.passages import Passage
from studiotimer.wrap.review import Review, ShotReview
from studiotimer.wrap.selects import ByAge

LATE_SHARE = 0.15
"""From this share of a window gone before the first frame, it is worth a word."""
LOCKS_S = 30.0
"""Less time lost waiting for locks is not worth a word."""
NO_HERO = "No hero came on set, so no window was used. Call hero in when one does."
WELL = "nothing of it was lost"
COLDER = "Dress faster, or use scoops that waited longer in the box."
WARMER = "Dress faster, or call hero in sooner."
_BRACKETS = re.compile(r" \([^()]*\)$")


def findings_of(review: Review, frames: Sequence[Aged], ages: Sequence[ByAge], following: Plan) -> tuple[str, ...]:
    """Return what a session showed, the shots that lost most before the others; `following` is the next plan."""
    if not review.heroes:
        return (NO_HERO,)
    said = [words for shot in review.shots if (words := _unseen(shot, frames))]
    went = [words for shot in review.shots if (words := _window(shot, frames))]
    said += sorted(went, key=lambda words: WELL in words)
    said += [words for one in ages if (words := _ages(one))]
    said += [*_locks(review), *_pulls(review), _order(following)]
    return tuple(said)


def _window(shot: ShotReview, frames: Sequence[Aged]) -> str:
    """Return how much of its windows a shot's heroes had gone when the first frame was taken, or dressing ended."""
    firsts = _first_frames(frames, shot.shot.name)
    found, bare = [], shot.shot.model_copy(update={"dressing_s": 0.0})
    for hero in shot.heroes:
        begin, end = hero.window(bare)
        if not math.isfinite(begin) or not math.isfinite(end) or end <= begin:
            continue
        came = hero.stay.hero_since if hero.stay.hero_since is not None else hero.stay.since
        ready = firsts.get(_key(hero), came + shot.shot.dressing_s if not firsts else None)
        if ready is not None:
            found.append((max(ready - begin, 0.0), end - begin))
    if not found:
        return ""
    gone, whole = median(one for one, _ in found), median(one for _, one in found)
    advice = _advice(shot.shot.look) if shot.heroes[0].stages is STAGES else "Dress faster."
    what = "The first frame came" if firsts else "Dressing ended"
    if gone >= whole:
        return f"{shot.shot.name}: {what.lower()} after the {duration(whole)} window was over. {advice}"
    if gone < LATE_SHARE * whole:
        return f"{shot.shot.name}: {what.lower()} as the {duration(whole)} window opened: {WELL}."
    return f"{shot.shot.name}: {what.lower()} {duration(gone)} into a {duration(whole)} window. {advice}"


def _unseen(shot: ShotReview, frames: Sequence[Aged]) -> str:
    """Return how many of a shot's heroes are in none of its frames, where others are in some."""
    seen = _first_frames(frames, shot.shot.name)
    unseen = sum(_key(hero) not in seen for hero in shot.heroes)
    if not seen or not unseen:
        return ""
    named = counted(len(shot.heroes), "hero", "heroes")
    return f"{shot.shot.name}: {unseen} of {named} {'is' if unseen == 1 else 'are'} in no frame."


def _advice(look: Look) -> str:
    return COLDER if look in ("crisp", "sheen") else WARMER


def _first_frames(frames: Sequence[Aged], shot: str) -> dict[tuple[int, float], float]:
    """Return when each hero of a shot was in a frame first, by scoop and when it came on set."""
    firsts: dict[tuple[int, float], float] = {}
    for frame in frames:
        if frame.shot is not None and frame.shot.name == shot:
            for hero in frame.heroes:
                firsts.setdefault(_key(hero.passage), frame.at)
    return firsts


def _key(passage: Passage) -> tuple[int, float]:
    return passage.stay.scoop, passage.stay.since


def _ages(by_age: ByAge) -> str:
    if by_age.start_s is None or by_age.end_s is None:
        return ""
    return (
        f"The best {by_age.look} frames were {duration(by_age.start_s)} to {duration(by_age.end_s)} after hero in. "
        f"Have the camera ready by {duration(by_age.start_s)}."
    )


def _locks(review: Review) -> Iterator[str]:
    lost = sum(shot.spent.any_lock_s for shot in review.shots)
    if lost >= LOCKS_S:
        yield f"{duration(lost)} went waiting for a lock. Lock light, set and camera before the pull."


def _pulls(review: Review) -> Iterator[str]:
    """Say how many pulls were good where that is far from the plan: three pulls or more of those that were made."""
    good, known = review.judged
    planned = review.session.plan.good_share
    if known and abs(good - planned * known) >= 3:
        do = "Plan more pulls" if good < planned * known else "Fewer pulls will do"
        yield f"{good} of {known} pulls were good, {percent(planned)} was planned. {do}."


def _order(plan: Plan) -> str:
    tubs = [(each.flavour, int(each.tubs.value or 0)) for each in products(plan, groups_of(plan))]
    numbers = {number for _, number in tubs}
    if len(tubs) > 1 and len(numbers) == 1:
        return f"Order {counted(numbers.pop(), 'tub')} of each flavour for the same day again."
    named = ", ".join(f"{counted(number, 'tub')} of {flavour}" for flavour, number in tubs)
    return f"Order {named} for the same day again."


def next_words(lines: Sequence[str]) -> str:
    """Return what is carried into the next plan in one line: without how it was found, and what stays unnamed."""
    changed = [_short(line) for line in lines if not line.startswith("unchanged")]
    return " · ".join([*changed, "the rest as it was"] if changed else ["the plan as it was"] if lines else [])


def _short(line: str) -> str:
    """Return what was changed without the reason behind its last colon, or in its last brackets."""
    before, colon, _ = line.rpartition(": ")
    return _BRACKETS.sub("", before if colon else line)
