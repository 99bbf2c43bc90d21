"""Calls that are typed: what each text comes to, said before it is logged, and why."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import NamedTuple

from studiotimer import units
from studiotimer.session.calls.ice import mass_words
from studiotimer.session.calls.mends import as_told, target_of
from studiotimer.session.calls.record import Field, Options, Stepper, Words
from studiotimer.session.calls.registry import amend_fields
from studiotimer.session.choices import amendment
from studiotimer.session.desk import Desk, Fields, change_of, last_reading, read_last, usual_freezer
from studiotimer.session.entries import Entry, fields_of
from studiotimer.session.freezers import core_question, freezers_now, ready_words
from studiotimer.session.live import Session
from studiotimer.session.measures import MEASURED, MEASURES, Measured
from studiotimer.session.mending import MendError, amended
from studiotimer.session.wording import entry_words
from studiotimer.units import Quantity, Question, UnitError, Value

ICE = "dry ice added"
ICE_MASS = units.MASS._replace(high=50.0)
MOVED_S = 5.0
"""By how much one press of an arrow moves a time."""
NOTHING = "Nothing is changed."


@dataclass(frozen=True)
class Typed:
    """What the texts come to: the call they would log and in what words, or why none.

    `key` is the one that makes `instead` of the text, where another unit may have been meant.
    """

    words: str
    why: str = ""
    kind: str = ""
    fields: Fields = field(default_factory=dict)
    key: str = ""
    instead: str = ""

    @property
    def ready(self) -> bool:
        """Whether Enter logs it."""
        return bool(self.kind)


class Blank(NamedTuple):
    """One thing that is typed: its name, what stands there first, and what may be typed.

    `unit` is the unit that a bare number has, after what is typed; `moved` the text some steps on. Blanks in a
    row with one `group` share its place: freezers, or the tubs and scoops whose core is read.
    """

    name: str
    text: str = ""
    may: Callable[[str], bool] = lambda _: True
    unit: Callable[[str], str] = lambda _: ""
    moved: Callable[[str, int], str] = lambda text, _: text
    group: str = ""


@dataclass(frozen=True)
class Form:
    """A call that is typed: its blanks, and what their texts come to with the `current` one open.

    With `shared`, the blanks are ways to take one text; a `wide` one is words, which want room.
    """

    title: str
    blanks: tuple[Blank, ...]
    current: int
    come_to: Callable[[int, Sequence[str]], Typed]
    shared: bool = False
    wide: bool = False


def reading_form(session: Session, desk: Desk, at: float) -> Form:
    """Return the form of a reading, or of dry ice added, made at session second `at`; first the one read last."""
    asked = list(_asked(desk))
    blanks = tuple(
        _number_blank(
            one.name,
            _kind(one.what),
            last_reading(desk, one.what, one.whose) if one.what else _last_ice(desk),
            MEASURES[one.what].stepped() if one.what else 0.25,
            MEASURES[one.what].name if one.what else "",
        )
        for one in asked
    )

    def come_to(current: int, texts: Sequence[str]) -> Typed:
        what, whose = asked[current].what, asked[current].whose
        was = _was(session, desk, what, whose)
        read = units.understood(texts[current], _kind(what), units.shown_in())
        if not texts[current].strip():
            return Typed(f"{blanks[current].name}: type what it reads", was)
        if isinstance(read, units.Refused):
            return Typed("Not logged yet", f"{read.sentence}.")
        if isinstance(read, Question) and read.kept is None:
            return Typed(f"{read.sentence}.", was, key=read.key, instead=read.instead.text)
        value = read if isinstance(read, Value) else read.kept
        assert value is not None
        said = f"{blanks[current].name} {_words(what, value.number)}, {clock_words(session, at)}"
        why = f"{read.sentence}." if isinstance(read, Question) else _shown_as(value, what)
        why = " ".join(part for part in (why, _about(session, what, whose, value.number)) if part)
        kind, fields = _call_of(what, value.number, whose)
        key, instead = (read.key, read.instead.text) if isinstance(read, Question) else ("", "")
        return Typed(said, " ".join(part for part in (why, was) if part), kind, fields, key, instead)

    return Form("Reading", blanks, _first(asked, desk), come_to, shared=True)


@dataclass(frozen=True)
class _Asked:
    """What may be read (None: dry ice added), of which freezer, tub or scoop, and how that is called."""

    what: Measured | None
    name: str
    whose: Fields = field(default_factory=dict)


def _asked(desk: Desk) -> Iterator[_Asked]:
    """Yield what may be read: each freezer of the plan, the tubs of the shot, the scoops on set and the one chosen."""
    for what in MEASURED:
        if what == "freezer_c" and usual_freezer(desk):
            yield from (_Asked(what, name, {"freezer": name}) for name in desk.plan.freezer_names.values())
        elif what == "core_c":
            shot = desk.state.shot
            tubs = shot.flavours if shot else [one.name for one in desk.plan.flavours]
            yield from (_Asked(what, f"core of {one}", {"flavour": one}) for one in dict.fromkeys(tubs))
            chosen = [one.number for one in desk.state.in_play if one.number == desk.selected]
            scoops = dict.fromkeys([*chosen, *(scoop.number for scoop in desk.state.heroes())])
            yield from (_Asked(what, f"core of scoop {one}", {"scoop": one}) for one in scoops)
        else:
            yield _Asked(what, MEASURES[what].name)
    yield _Asked(None, ICE)


def _first(asked: Sequence[_Asked], desk: Desk) -> int:
    """Return which is typed first: what was asked for, else what was read last; of several, the one filled in."""
    given = {name: one for name, one in desk.given.items() if one is not None}
    what = next((one for one in MEASURED if one == given.get("what")), read_last(desk.state))
    whose = {"freezer": usual_freezer(desk), "scoop": desk.selected, **given}
    fits = [place for place, one in enumerate(asked) if one.what == what]
    return next((place for place in fits if asked[place].whose.items() <= whose.items()), fits[0])


def _about(session: Session, what: Measured | None, whose: Fields, value: float) -> str:
    """Return what a freezer is planned at; whether a tub is ready; and what is asked of a core without ice."""
    plan, state = session.plan, session.state
    if what == "freezer_c":
        planned = next((one.planned_c for one in freezers_now(plan, state) if one.name == whose.get("freezer")), None)
        return "" if planned is None else f"Planned {_words(what, planned)}."
    if what != "core_c":
        return ""
    scoop = next((one for one in state.in_play if one.number == whose.get("scoop")), None)
    flavour = scoop.flavour if scoop is not None else str(whose.get("flavour"))
    said = ready_words(plan, flavour, value)[1] if scoop is None else ""
    return core_question(plan, flavour, value) or (f"{said[0].upper()}{said[1:]}." if said else "")


def words_form(title: str, kind: str, words: Words, said: str) -> Form:
    """Return the form of a call that is words, made at the time `said`: a note, or why a hold."""

    def moved(text: str, by: int) -> str:
        now = words.phrases.index(text) if text in words.phrases else (0 if by > 0 else -1)
        return words.phrases[(now - by) % len(words.phrases)]

    def come_to(_: int, texts: Sequence[str]) -> Typed:
        text = texts[0].strip()
        if not text and kind == "note":
            return Typed("↑ ↓ for a phrase")
        return Typed(said, "", kind, {words.field: text} if text else {})

    return Form(title, (Blank(words.label, words.value, moved=moved),), 0, come_to, wide=True)


def amend_form(session: Session, desk: Desk, number: int | None) -> Form | None:
    """Return the form that amends entry `number` (the last call, when None); None where nothing can be amended."""
    target = target_of(desk, number)
    fields = amend_fields(desk, number)
    if target is None or not fields:
        return None
    told = as_told(desk, target)
    blanks = tuple(_amend_blank(session, told, one) for one in fields)

    def come_to(_: int, texts: Sequence[str]) -> Typed:
        chosen: dict[str, object] = {}
        was = f"Was: {entry_words(told)}, {blanks[0].text}."
        try:
            for blank, one, text in zip(blanks, fields, texts, strict=True):
                if text.strip() != blank.text:
                    name, value = _amended_value(session, desk, told, one, text)
                    chosen[name] = value
            asked = amendment(desk, target.n, chosen)
        except UnitError as error:
            return Typed("Not amended yet", f"{str(error).partition(': ')[2] or error}.")
        except MendError as error:
            return Typed(NOTHING if not chosen else f"Not amended: {error}.", was)
        change = asked["change"]
        assert isinstance(change, dict)
        after = amended(told, change)
        second = session.ledger.seconds(after)
        if second > desk.at:
            return Typed("Not amended yet", f"That is {units.duration(second - desk.at)} from now.")
        return Typed(f"{entry_words(after)}, {clock_words(session, second)}", was, "amend", asked)

    return Form("Amend", blanks, 0, come_to)


def clock_words(session: Session, at: float) -> str:
    """Return the wall clock's time at session second `at`, as the log has it."""
    return f"{session.wall_time(at).astimezone():%H:%M:%S}"


def _kind(what: Measured | None) -> Quantity:
    return MEASURES[what].quantity if what else ICE_MASS


def _words(what: Measured | None, value: float) -> str:
    return MEASURES[what].words(value) if what else mass_words(value)


def _last_ice(desk: Desk) -> float:
    return desk.state.last_top_up[1].mass_kg if desk.state.last_top_up else 0.5


def _call_of(what: Measured | None, value: float, whose: Fields) -> tuple[str, Fields]:
    return ("reading", {"what": what, "value": value, **whose}) if what else ("top_up", {"mass_kg": value})


def _was(session: Session, desk: Desk, what: Measured | None, whose: Fields) -> str:
    """Return what was read before, and when."""
    if what is None:
        if desk.state.last_top_up is None:
            return ""
        where, charge = desk.state.last_top_up
        return f"Last: {mass_words(charge.mass_kg)} {charge.form}, {where}."
    last = change_of(desk.state, what, whose)
    if last is None:
        return "Not read yet."
    return f"Was {MEASURES[what].words(last.value)} at {clock_words(session, last.at)[:5]}."


def _shown_as(value: Value, what: Measured | None) -> str:
    """Return why a value is what it is: by the units shown, or by the unit that was typed."""
    if value.bare and _kind(what).bare[0] != _kind(what).bare[1]:
        return f"{_kind(what).bare_in(units.shown_in())} are the units shown."
    return f"Typed as {value.text.replace('-', '−')}." if value.text.startswith("EV") or not value.bare else ""


def _number_blank(name: str, kind: Quantity, last: float, step: float, group: str = "") -> Blank:
    """Return the blank of a number: steps go on from what is typed, else from the last value."""

    def unit(text: str) -> str:
        read = units.understood(text or "0", kind._replace(low=-1e9, high=1e9, open_low=False), units.shown_in())
        asked = isinstance(read, Question)
        return kind.bare_in(units.shown_in()) if asked or (isinstance(read, Value) and read.bare) else ""

    def moved(text: str, by: int) -> str:
        read = units.understood(text, kind, units.shown_in())
        wanted = (read.number if isinstance(read, Value) else last) + by * step
        least = step if kind.open_low else kind.low
        return units.told(min(max(wanted, least), kind.high), kind, units.shown_in())

    return Blank(name, "", lambda text: units.could_become(text, kind), unit, moved, group)


def _amend_blank(session: Session, told: Entry, one: Field) -> Blank:
    if one.field == "tick":
        start = clock_words(session, session.ledger.seconds(told))
        return Blank("when", start, units.could_be_moment, moved=_moved_clock)
    if isinstance(one, Options):
        words = [said for _, said in one.values]
        now = next((said for value, said in one.values if value == one.value), "")

        def may(text: str) -> bool:
            return any(text.strip().lower() in said.lower() for said in words)

        def moved(text: str, by: int) -> str:
            at = words.index(text) if text in words else (-1 if by > 0 else 0)
            return words[(at + by) % len(words)] if words else text

        return Blank(one.label, now, may, moved=moved)
    assert isinstance(one, Stepper)
    kind = _kind_of(told, one.field)
    if kind is None:
        return Blank(one.label, f"{one.value:.0f}", str.isdigit, moved=lambda text, by: _counted(text, by, one))
    blank = _number_blank(one.label, kind, one.value, one.step)
    return Blank(one.label, units.told(one.value, kind, units.shown_in()), blank.may, blank.unit, blank.moved)


def _kind_of(told: Entry, name: str) -> Quantity | None:
    if name == "mass_kg":
        return ICE_MASS
    what = fields_of(told).get("what")
    return MEASURES[what].quantity if name == "value" and what in MEASURES else None


def _counted(text: str, by: int, one: Stepper) -> str:
    now = int(text) if text.isdigit() else int(one.value)
    return f"{min(max(now + by, int(one.low)), int(one.high))}"


def _moved_clock(text: str, by: int) -> str:
    try:
        at = units.moment(text)
    except UnitError:
        return text
    if not isinstance(at, units.At):
        return text
    moved = datetime.combine(datetime(2000, 1, 2), at.time) + timedelta(seconds=by * MOVED_S)
    return f"{moved:%H:%M:%S}"


def _amended_value(session: Session, desk: Desk, told: Entry, one: Field, text: str) -> tuple[str, object]:
    """Return the field and value that a text of an amend comes to; raises UnitError."""
    if one.field == "tick":
        return "tick", _tick(session, desk, told, text)
    if isinstance(one, Options):
        plain = text.strip().lower()
        found = [value for value, said in one.values if said.lower() == plain] or [
            value for value, said in one.values if plain and plain in said.lower()
        ]
        if len(found) != 1:
            raise UnitError(f"{one.label}: write one of {', '.join(said for _, said in one.values)}")
        return one.field, found[0]
    kind = _kind_of(told, one.field)
    if kind is not None:
        return one.field, units.parse(text, kind, one.label, units.shown_in())
    if not text.strip().isdigit():
        raise UnitError(f"{one.label}: write its number")
    return one.field, float(int(text))


def _tick(session: Session, desk: Desk, told: Entry, text: str) -> float:
    """Return the tick that "20:12:19" or "15 s earlier" gives an entry: the time of day nearest to its own."""
    at = units.moment(text)
    if isinstance(at, units.Shift):
        return round(told.tick + at.seconds, 3)
    second = session.ledger.seconds(told)
    if isinstance(at, units.Ago):
        return round(told.tick + desk.at - at.seconds - second, 3)
    was = session.wall_time(second).astimezone()
    days = (was.date() + timedelta(days=by) for by in (-1, 0, 1))
    moments = [datetime.combine(day, at.time).astimezone() for day in days]
    nearest = min(moments, key=lambda moment: abs((moment - was).total_seconds()))
    return round(told.tick + (nearest - was.replace(microsecond=0)).total_seconds(), 3)


def form_of(kind: str, title: str, fields: Sequence[Field], session: Session, desk: Desk, at: float) -> Form | None:
    """Return the form of a call that is typed; None for one that is chosen."""
    if kind == "reading":
        return reading_form(session, desk, at)
    if kind in ("note", "hold") and len(fields) == 1 and isinstance(fields[0], Words):
        return words_form(title, kind, fields[0], f"{title.lower()}, {clock_words(session, at)}")
    return None


def given(fields: Mapping[str, object]) -> dict[str, object]:
    """Return the fields of a call as they are handed on: lists, and nothing that was not said."""
    return {name: list(one) if isinstance(one, tuple) else one for name, one in fields.items() if one is not None}
