"""`studiotimer call KIND …`: every kind of call, its fields as options."""

from __future__ import annotations

import argparse
import json
import sys
import typing
from types import NoneType, UnionType
from typing import Any, Literal, get_args, get_origin

from studiotimer import units
from studiotimer.cli import BadInputError, Parser, show
from studiotimer.errors import NoWindowError
from studiotimer.plain import plain
from studiotimer.session.calls.registry import RECORDS
from studiotimer.session.entries import Entry
from studiotimer.session.fields import Given
from studiotimer.session.measures import MEASURES

_SCOOPS = {"scoop", "scoops", "out", "into"}
WITH_UNIT = ", with its unit; a number alone is as files have it"
HEADS = frozenset(Entry.model_fields) | {"kind"}
EXAMPLES = {"amend": """amend --change '{"tick": 281.5}'""", "note": 'note --text "fog in frame"'}


def add_kinds(call: argparse.ArgumentParser) -> None:
    """Give `call` a sub-command for every kind of call."""
    kinds = call.add_subparsers(metavar="KIND", required=True, parser_class=Parser)
    for kind, record in RECORDS.items():
        if record.by != "anyone":
            continue
        model = record.model
        example = EXAMPLES.get(kind, kind.replace("_", "-"))
        parser = kinds.add_parser(
            kind.replace("_", "-"),
            help=model.__doc__,
            description=model.__doc__,
            epilog=f"example: studiotimer call {example}",
        )
        for name, field in model.model_fields.items():
            if name not in HEADS:
                _add_field(parser, field.alias or name, field.annotation)
        if not _SCOOPS.isdisjoint(model.model_fields) and kind != "pull":
            parser.add_argument(
                "--assume", action="store_true", help="take a scoop that was never logged as pulled shortly before"
            )
        parser.add_argument("--json", action="store_true", help="print the answer as one JSON object")
        parser.set_defaults(run=_call, kind=kind)


def _add_field(parser: argparse.ArgumentParser, name: str, annotation: object) -> None:
    option = f"--{name.replace('_', '-')}"
    kind, many = _plain(annotation)
    if get_origin(kind) is Literal:
        choices = get_args(kind)
        parser.add_argument(
            option, dest=f"field_{name}", choices=choices, help=f"one of {', '.join(map(str, choices))}"
        )
    elif kind is bool:
        parser.add_argument(option, dest=f"field_{name}", type=_switch, metavar="yes|no", help="yes or no")
    elif kind is dict:
        parser.add_argument(
            option,
            dest=f"field_{name}",
            type=_object,
            metavar="JSON",
            help="a JSON object of changes; tick is the time in the session in seconds",
        )
    else:
        parser.add_argument(
            option, dest=f"field_{name}", type=str if kind is float else kind, nargs="+" if many else None,
            metavar={int: "NUMBER", float: "VALUE"}.get(kind, "TEXT"),
            help=f"{name.replace('_', ' ')}{', one or more' if many else ''}{WITH_UNIT if kind is float else ''}",
        )  # fmt: skip


def _plain(annotation: object) -> tuple[Any, bool]:
    """Return the type behind optional, annotated and tuple, and whether many are taken."""
    if get_origin(annotation) in (typing.Union, UnionType):
        annotation = next(one for one in get_args(annotation) if one is not NoneType)
    if get_origin(annotation) is typing.Annotated:
        annotation = get_args(annotation)[0]
    if get_origin(annotation) is tuple:
        return _plain(get_args(annotation)[0])[0], True
    return (dict, False) if get_origin(annotation) is dict else (annotation, False)


def _switch(text: str) -> bool:
    known = {"yes": True, "on": True, "true": True, "no": False, "off": False, "false": False}
    if text.lower() not in known:
        raise argparse.ArgumentTypeError(f"{text[:40]!r} is neither yes nor no")
    return known[text.lower()]


def _object(text: str) -> dict[str, object]:
    try:
        value = json.loads(text)
    except ValueError:
        value = None
    if not isinstance(value, dict):
        raise argparse.ArgumentTypeError(
            'it must be a JSON object, for example {"tick": 281.5}, tick being the time in the session in seconds'
        )
    return value


def _annotation(kind: str, name: str) -> object:
    fields = RECORDS[kind].model.model_fields
    return next((field.annotation for own, field in fields.items() if (field.alias or own) == name), str)


def _number(name: str, text: str, fields: Given) -> float:
    """Return a number as files have it, or one with a unit; raises UnitError."""
    try:
        return float(text)
    except ValueError:
        pass
    if name == "value":
        if fields.get("what") not in MEASURES:
            raise units.UnitError(f"value: say what was read, with --what; it is one of {', '.join(MEASURES)}")
        quantity = MEASURES[fields["what"]].quantity
    else:
        quantity = units.MASS if name.endswith("_kg") else units.TIME
    return units.parse(text, quantity, name)


def _call(options: argparse.Namespace) -> int:
    from studiotimer.session.peer import send_call

    fields = {
        name.removeprefix("field_"): value
        for name, value in vars(options).items()
        if name.startswith("field_") and value is not None
    }
    for name, value in fields.items():
        if isinstance(value, str) and _plain(_annotation(options.kind, name))[0] is float:
            fields[name] = _number(name, value, fields)
    try:
        answer = send_call(options.kind, fields, assume=getattr(options, "assume", False))
    except NoWindowError as error:
        print(f"studiotimer: {plain(str(error))}", file=sys.stderr)
        return 1
    if "kept" in answer:
        kept = f"entry {answer['kept']} is kept in the window, not on disk yet: {plain(str(answer['why']))}"
        print(f"studiotimer: {kept}; it is written when the disk is back, do not call it again", file=sys.stderr)
        return 1
    if "n" not in answer:
        raise BadInputError(f"refused: {answer.get('refused')}")
    asked = f"; {plain(str(answer['asks']))}" if answer.get("asks") else ""
    show(answer, f"entry {answer['n']} is on disk{asked}", options.json)
    return 0
