"""What happened: each scoop, each shot and the whole session, against the plan."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING, Any

from studiotimer.session.calls.heroes import HeroIn, Swap
from studiotimer.session.calls.ice import TopUp
from studiotimer.session.calls.notes import Note
from studiotimer.session.calls.readings import Reading
from studiotimer.session.entries import Judgement, Shot, Why, Wiped
from studiotimer.session.log import Told
from studiotimer.session.measures import MEASURED, MEASURES, Measured
from studiotimer.session.product import Product
from studiotimer.session.scoops import Pour, Scoop, Stay
from studiotimer.session.wording import change_words, entry_words
from studiotimer.units import duration
from studiotimer.wrap.foretold import Foretold, foretold
from studiotimer.wrap.idle import Spent, spent
from studiotimer.wrap.passages import Passage, passages
from studiotimer.wrap.recorded import Recorded
from studiotimer.wrap.stays import OnSet, Step, stays_on_set, steps

if TYPE_CHECKING:
    from studiotimer.prep.plan import Plan
    from studiotimer.prep.results import Results

Tally = Callable[[Recorded], tuple[int, int] | None]


@dataclass(frozen=True)
class ScoopLife:
    """One scoop from its pull to its end (session seconds); `marks` says what was assumed or amended."""

    number: int
    flavour: str
    pulled: float
    stays: tuple[Stay, ...]
    judged: Judgement | None
    why_out: Why | None
    passages: tuple[Passage, ...]
    marks: tuple[str, ...]
    pours: tuple[Pour, ...] = ()
    wiped: tuple[tuple[float, Wiped], ...] = ()
    """When frost or dew was wiped off it, where it is a closed pack."""

    @property
    def hero(self) -> Passage | None:
        """Its first stay as hero."""
        return next((one for one in self.passages if one.stay.hero), None)

    @property
    def good(self) -> bool | None:
        """Whether it was good: judged hero or spare, or a hero and not judged; None while it waits unjudged.

        One that left unjudged and was never a hero was not (own rule): it was pulled, and gave nothing.
        """
        if self.judged is not None:
            return self.judged != "reject"
        if self.hero is not None:
            return True
        return None if self.stays[-1].place in ("freezer", "box", "tray") else False

    @property
    def out_of_cold_s(self) -> float | None:
        """Seconds between the cold (or the tub) and its first stay on set as hero, where both were called."""
        hero = self.hero
        if hero is None:
            return None
        before = [stay for stay in self.stays if stay.since < hero.stay.since]
        if not before or before[-1].place != "tray" or before[-1].assumed:
            return None
        return hero.stay.since - before[-1].since


@dataclass(frozen=True)
class ShotReview:
    """One shot: what it asked, the stays that served it, and where its time went."""

    shot: Shot
    heroes: tuple[Passage, ...]
    spent: Spent
    got: bool
    planned_heroes: int | None
    planned_working_s: float | None

    @property
    def working_s(self) -> float | None:
        """The median working time of its heroes [s], as seen and reckoned; None when it had none."""
        found = [hero.working_s(self.shot) for hero in self.heroes]
        return median(found) if found else None

    @property
    def ended_seen(self) -> int:
        """For how many of its heroes a person called the change that ends the window."""
        return sum(hero.ended_as_seen(self.shot) for hero in self.heroes)


@dataclass(frozen=True)
class Measure:
    """Readings of one thing: how many, from the lowest to the highest, and the last; `planned` where the plan says.

    `name` says of what: a freezer has its own, a core that of its tub or scoop.
    """

    what: Measured
    name: str
    count: int
    low: float
    high: float
    last: float
    planned: float | None


@dataclass(frozen=True)
class Review:
    """The whole session."""

    session: Recorded
    scoops: tuple[ScoopLife, ...]
    shots: tuple[ShotReview, ...]
    foretold: tuple[Foretold, ...]
    measures: tuple[Measure, ...]
    ice_kg: Mapping[str, float]
    ice_left_kg: Mapping[str, float]
    mended: tuple[str, ...]
    notes: tuple[str, ...]
    cues: tuple[int, int] | None
    planned: Results | None
    passages: Mapping[tuple[int, float], Passage]
    stays: tuple[OnSet, ...]

    @property
    def judged(self) -> tuple[int, int]:
        """How many pulls were good enough, of all pulled but those that still wait unjudged."""
        known = [scoop.good for scoop in self.scoops if scoop.good is not None]
        return sum(known), len(known)

    @property
    def good_share(self) -> float | None:
        """The share of pulls good enough for hero or spare."""
        good, known = self.judged
        return good / known if known else None

    @property
    def pull_to_set_s(self) -> list[float]:
        """The times out of the cold before the set that were called, in order of scoop."""
        return [scoop.out_of_cold_s for scoop in self.scoops if scoop.out_of_cold_s is not None]

    @property
    def heroes(self) -> list[Passage]:
        """Every stay as hero, in order of time."""
        return sorted(
            (one for scoop in self.scoops for one in scoop.passages if one.stay.hero), key=lambda one: one.stay.since
        )

    @property
    def working_s(self) -> float | None:
        """The median working time of all heroes [s]."""
        found = [hero.working_s() for hero in self.heroes]
        return median(found) if found else None

    @property
    def planned_working_s(self) -> float | None:
        """The median of what was planned for the same heroes [s]."""
        planned = {shot.shot.name: shot.planned_working_s for shot in self.shots}
        found = [span for hero in self.heroes if (span := planned.get(hero.stay.shot)) is not None]
        return median(found) if found else None


def review_of(
    session: Recorded,
    cues: Tally = lambda _: None,
) -> Review:
    """Return what happened in a session; `cues` counts cues taken and missed, None where that is not known."""
    walked = list(steps(session))
    stays = stays_on_set(session)
    found = passages(session, stays)
    state, end = session.state, session.end
    planned = _planned(session)
    return Review(
        session,
        _scoops(session, found),
        _shots(session, found, spent(walked), planned),
        tuple(foretold(session, walked, stays)),
        _measures(session),
        _ice(walked),
        {where: session.climate.ice_kg(where, end) for where in ("set", "box") if state.charges[where]},
        tuple(_mended(session)),
        tuple(_notes(session)),
        cues(session),
        planned,
        found,
        tuple(stays),
    )


def _planned(session: Recorded) -> Results | None:
    """Return what the plan foresaw, None when it names something this machine does not know."""
    from studiotimer.prep.plan import PlanError
    from studiotimer.prep.results import results_of

    try:
        return results_of(session.plan)
    except PlanError:
        return None


def _scoops(session: Recorded, found: Mapping[tuple[int, float], Passage]) -> tuple[ScoopLife, ...]:
    touched: dict[int, list[str]] = {}
    for told in session.ledger.told:
        if told.amended:
            for number in _named(told):
                touched.setdefault(number, []).append(f"{told.entry.kind.replace('_', ' ')} amended")
    lives = []
    for number, scoop in sorted(session.state.scoops.items()):
        marks = [*_assumptions(scoop), *touched.get(number, [])]
        own = sorted((one for key, one in found.items() if key[0] == number), key=lambda one: one.stay.since)
        lives.append(
            ScoopLife(
                number,
                scoop.flavour,
                scoop.pulled,
                scoop.stays,
                scoop.judged,
                scoop.why_out,
                tuple(own),
                tuple(marks),
                scoop.pours,
                scoop.wiped,
            )
        )
    return tuple(lives)


def _assumptions(scoop: Scoop) -> list[str]:
    marks = ["pull assumed"] if scoop.assumed else []
    return marks + [f"{stay.place} assumed" for stay in scoop.stays[1:] if stay.assumed]


def _named(told: Told) -> list[int]:
    entry: Any = told.entry
    if isinstance(entry, Swap):
        return [entry.out, entry.into]
    several = getattr(entry, "scoops", None)
    one = getattr(entry, "scoop", None)
    return list(several) if several else [one] if one is not None else []


def _shots(
    session: Recorded,
    found: Mapping[tuple[int, float], Passage],
    times: Mapping[str, Spent],
    planned: Results | None,
) -> tuple[ShotReview, ...]:
    by_name = {shot.name: shot for shot in planned.shots} if planned else {}
    asked = {shot.name: shot for _, shot in session.shots}
    reviews = []
    for name, shot in asked.items():
        spans = _spans(session, name)
        heroes = tuple(
            sorted(
                (one for one in found.values() if one.stay.hero and _served(one, spans)),
                key=lambda one: (one.stay.since, one.stay.scoop),
            )
        )
        plan = by_name.get(name)
        window = (plan.iced or plan.plain) if plan else None
        reviews.append(
            ShotReview(
                shot, heroes, times.get(name, Spent()), name in session.state.got,
                int(plan.groups.value or 0) * len(shot.spots or (1,)) if plan else None,
                window.value if window else None,
            )
        )  # fmt: skip
    return tuple(reviews)


def _spans(session: Recorded, name: str) -> list[tuple[float, float]]:
    """Return when a shot was being made."""
    begins = [*session.shots, (session.end, None)]
    return [(at, begins[i + 1][0]) for i, (at, shot) in enumerate(session.shots) if shot.name == name]


def _served(passage: Passage, spans: Sequence[tuple[float, float]]) -> bool:
    since = passage.stay.hero_since
    assert since is not None
    return any(since < until and passage.stay.until > begin for begin, until in spans)


def _measures(session: Recorded) -> tuple[Measure, ...]:
    room, ice = session.plan.room, session.plan.dry_ice
    planned: dict[Measured, float | None] = {
        "room_c": room.air_c, "humidity": room.humidity, "air_c": ice.target_air_c, "box_c": ice.box_c,
        "freezer_c": session.plan.freezer_c,
    }  # fmt: skip
    names = set(session.plan.freezer_names.values())
    read: dict[tuple[Measured, str], list[float]] = {}
    passed_over = {one.n for one in session.state.contradictions}
    for told in session.ledger.told:
        if isinstance(told.entry, Reading) and told.entry.n not in passed_over:
            read.setdefault((told.entry.what, _read_of(session.plan, told.entry)), []).append(told.entry.value)
    return tuple(
        Measure(
            what, name, len(values), min(values), max(values), values[-1],
            Product.planned_c(session.plan, name) if what == "freezer_c" and name in names else planned.get(what),
        )
        for (what, name), values in sorted(read.items(), key=lambda one: MEASURED.index(one[0][0]))
    )  # fmt: skip


def _read_of(plan: Plan, read: Reading) -> str:
    """Return what was read: the freezer by its name, the core of which tub or scoop, else the kind of reading."""
    if read.what == "freezer_c":
        only = next(iter(plan.freezer_names.values())) if len(plan.freezer_names) == 1 and plan.freezers else ""
        return read.freezer or only or "freezer"
    if read.what == "core_c":
        return f"core of {read.flavour}" if read.scoop is None else f"core of scoop {read.scoop}"
    return MEASURES[read.what].name


def _ice(walked: Sequence[Step]) -> dict[str, float]:
    used: dict[str, float] = {}
    for step in walked:
        if isinstance(step.told.entry, TopUp):
            used[step.told.entry.where] = used.get(step.told.entry.where, 0.0) + step.told.entry.mass_kg
    return used


def _notes(session: Recorded) -> list[str]:
    """Return every note, with the time of day and how far the session was."""
    return [
        f"{session.local(told.at):%H:%M:%S}, {duration(told.at - session.begin)} in: {told.entry.text}"
        for told in session.ledger.told
        if isinstance(told.entry, Note)
    ]


def _mended(session: Recorded) -> list[str]:
    """Return every call that was amended or taken back, in words."""
    ledger, words = session.ledger, []
    for told in ledger.told:
        if told.amended:
            changes = "; ".join(change_words(*each) for each in ledger.amends_of(told.entry.n))
            words.append(f"entry {told.entry.n} amended: {entry_words(told.entry)}; {changes}")
        elif isinstance(told.entry, HeroIn | Swap) and told.entry.assumed_pull_s is not None:
            words.append(f"entry {told.entry.n}, {entry_words(told.entry)}: the pull was assumed")
    for number in sorted(ledger.undone):
        entry = ledger.entry(number)
        if entry is not None and entry.kind not in ("amend", "take_back"):
            words.append(f"entry {number} taken back: {entry_words(entry)}")
    return words
