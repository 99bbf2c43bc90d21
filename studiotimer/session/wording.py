"""Entries in words, as the log, the call bar and the screen reader say them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from studiotimer import units
from studiotimer.session.choices import reading_words
from studiotimer.session.entries import Amend, AnyEntry, fields_of

CALL_NAMES: dict[str, str] = {
    "shot": "Shot", "lock": "Lock", "pull": "Pull", "judge": "Judge", "move": "Move", "stand_in": "Stand-in",
    "hero_in": "Hero in", "swap": "Swap", "out": "Out", "look": "Look seen", "got_it": "Got it", "hold": "Hold",
    "resume": "Resume", "top_up": "Top-up", "ice_cleared": "Ice cleared", "lamp": "Lamp", "tub_out": "Tub out",
    "tub_back": "Tub back", "reading": "Reading", "frame": "Frame", "note": "Note", "amend": "Amend",
    "take_back": "Take back", "opened": "Opened", "closed": "Closed",
}  # fmt: skip


def numbers(values: Sequence[int]) -> str:
    """Return scoop numbers in words: "11, 12, 13"."""
    return ", ".join(str(value) for value in values)


def entry_words(entry: AnyEntry) -> str:
    """Return an entry as one line of the log."""
    return call_words(entry.kind, fields_of(entry))


def call_words(kind: str, fields: Mapping[str, Any]) -> str:
    """Return a call of `kind` with `fields` as one line: "hero in 11, 12, 13"."""
    rule = _WORDS.get(kind)
    name = CALL_NAMES.get(kind, kind).lower()
    return rule(fields) if rule else name


def change_words(amend: Amend, before: AnyEntry) -> str:
    """Return what an amend made of the entry that stood there `before`: "20 s earlier, spot left, was right"."""
    was, parts = fields_of(before), []
    for name, value in amend.change.items():
        if name == "tick":
            moved = float(value) - before.tick
            size = f"{abs(moved):.0f}" if abs(moved) >= 1 else f"{abs(moved):.1g}"
            parts.append(f"{size} s {'later' if moved > 0 else 'earlier'}")
        else:
            now, before_it = (_changed(was, name, one) for one in (value, was.get(name)))
            parts.append(f"{_NAMES.get(name, name)} {now}, was {before_it}")
    return ", ".join(parts)


_NAMES = {"mass_kg": "mass", "assumed_pull_s": "pulled before", "value": "reading", "on": "switched"}


def _changed(fields: Mapping[str, Any], name: str, value: Any) -> str:
    """Return one value of an entry as the rest of the log has it."""
    if isinstance(value, bool):
        return "on" if value else "off"
    if value is not None and name == "mass_kg":
        return _mass(value)
    if value is not None and name == "assumed_pull_s":
        return units.duration(value)
    if name == "value" and "what" in fields:
        return reading_words(fields["what"], value)
    return _value(value)


def short_words(kind: str, fields: Mapping[str, Any]) -> str:
    """Return what a call would do in a word or two, for its button."""
    match kind:
        case "pull":
            return f"{fields['scoop']} {fields['flavour']}"
        case "hero_in" | "out":
            return ", ".join(str(number) for number in fields["scoops"])
        case "swap":
            return f"{fields['in']} in for {fields['out']}"
        case "look":
            return f"{fields['scoop']} {fields['seen']}"
        case "top_up":
            return f"{_mass(fields['mass_kg'])} {fields['where']}"
        case "judge":
            return f"{fields['scoop']} {fields['as']}"
        case "move":
            return f"{fields['scoop']} to {fields['to']}"
        case "shot":
            return str(fields["name"])
        case "take_back":
            return f"entry {fields['entry']}"
        case "lamp":
            return "on" if fields["on"] else "off"
        case "got_it":
            return str(fields["shot"])
        case "ice_cleared":
            return str(fields["where"])
        case _:
            return call_words(kind, fields).removeprefix(CALL_NAMES[kind].lower()).strip(" ,")


def _mass(kilograms: float) -> str:
    """Return a mass of dry ice with as many figures as it was called with."""
    return f"{kilograms:g} kg" if units.shown_in() == "metric" else units.mass(kilograms)


def _because(fields: Mapping[str, Any]) -> str:
    return f": {fields['why']}" if fields.get("why") else ""


def _amend(fields: Mapping[str, Any]) -> str:
    parts = ["its time" if name == "tick" else f"{name} {_value(value)}" for name, value in fields["change"].items()]
    return f"amend entry {fields['entry']}: {', '.join(parts)}"


def _value(value: Any) -> str:
    if value is None:
        return "none"
    return numbers(value) if isinstance(value, list | tuple) else str(value)


_WORDS: dict[str, Callable[[Mapping[str, Any]], str]] = {
    "shot": lambda f: f"shot {f['name']}, {f['look']} look",
    "lock": lambda f: f"{f['which']} {'locked' if f['on'] else 'free'}",
    "pull": lambda f: f"{f['scoop']} pulled, {f['flavour']}, to {f['to']}",
    "judge": lambda f: f"{f['scoop']} judged {f['as']}",
    "move": lambda f: f"{f['scoop']} to {f['to']}",
    "stand_in": lambda f: f"stand-in {f.get('scoop') or f.get('prop')} {'in' if f['on'] else 'out'}",
    "hero_in": lambda f: f"hero in {numbers(f['scoops'])}",
    "swap": lambda f: f"swap, {f['in']} replaces {f['out']}",
    "out": lambda f: f"out {numbers(f['scoops'])}, {f['why']}",
    "look": lambda f: f"{f['scoop']} shows {f['seen']}",
    "got_it": lambda f: f"got it: {f['shot']}",
    "hold": lambda f: f"hold{_because(f)}",
    "resume": lambda f: f"resume{_because(f)}",
    "top_up": lambda f: f"top-up {_mass(f['mass_kg'])} {f['form']}, {f['where']}",
    "ice_cleared": lambda f: f"dry ice cleared, {f['where']}",
    "lamp": lambda f: f"lamp {'on' if f['on'] else 'off'}",
    "tub_out": lambda f: f"tub out, {f['flavour']}",
    "tub_back": lambda f: f"tub back, {f['flavour']}",
    "reading": lambda f: reading_words(f["what"], f["value"], named=True),
    "frame": lambda f: f"frame {f['name']}",
    "note": lambda f: str(f["text"]),
    "amend": _amend,
    "take_back": lambda f: f"entry {f['entry']} taken back",
    "opened": lambda f: f"opened on {f['machine']}",
}
