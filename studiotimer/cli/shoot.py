"""Commands about a shoot: the window, rehearse, verify, call."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from studiotimer.cli import BadInputError, show
from studiotimer.cli.libraries import what_is_missing
from studiotimer.plain import plain

if TYPE_CHECKING:
    from argparse import _SubParsersAction

PLAN_SUFFIX = ".json"


def register(commands: _SubParsersAction[Any]) -> None:
    """Add this group's commands."""
    window = commands.add_parser("window", help="open the window (what happens when no command is named)")
    window.add_argument(
        "file", nargs="?", type=Path, metavar="FILE.setlog", help="the session, or a PLAN.json, to open"
    )
    window.add_argument("--follow", action="store_true", help="read-only, beside the window that writes it")
    window.set_defaults(run=_window)
    rehearse = commands.add_parser("rehearse", help="play a recorded session in the window; nothing is logged")
    rehearse.add_argument("file", type=Path, metavar="FILE.setlog", help="the session to play")
    rehearse.add_argument("--speed", type=float, default=20.0, help="1 to 60 times as fast as the day, for example 20")
    rehearse.set_defaults(run=_rehearse)
    verify = commands.add_parser("verify", help="say whether a session file is whole, torn or damaged")
    verify.add_argument("file", type=Path, metavar="FILE.setlog", help="the session to read")
    verify.add_argument("--json", action="store_true", help="print one JSON object: entries, state, bad_lines")
    verify.set_defaults(run=_verify)
    _register_call(commands)


def _window(options: argparse.Namespace) -> int:
    if options.file is not None and options.file.suffix == PLAN_SUFFIX:
        _check_plan(options.file)
    else:
        _check_session(options.file)
    return _run_window(options.file, follow=options.follow)


def _rehearse(options: argparse.Namespace) -> int:
    from studiotimer.session.rehearsal import SpeedError, checked_speed

    try:
        checked_speed(options.speed)
    except SpeedError as error:
        raise BadInputError(str(error)) from None
    _check_session(options.file)
    return _run_window(options.file, rehearse_at=options.speed)


def _check_session(path: Path | None) -> None:
    """Refuse what is no session before a window opens."""
    from studiotimer.session.reading import SessionFileError, read_header

    if path is not None:
        try:
            read_header(path)
        except SessionFileError as error:
            raise BadInputError(str(error)) from None


def _check_plan(path: Path) -> None:
    from studiotimer.prep.plan import PlanError, load_plan

    try:
        load_plan(path)
    except PlanError as error:
        raise BadInputError(str(error)) from None


def _run_window(path: Path | None, follow: bool = False, rehearse_at: float | None = None) -> int:
    if (missing := what_is_missing()) is not None:
        print(f"studiotimer: {missing}", file=sys.stderr)
        return 1
    from studiotimer.session.bulk import lasting

    try:
        with lasting():
            from studiotimer.window.app import run
        return run(path, follow, rehearse_at)
    except Exception as error:  # nothing that happens before the window shows may end in a traceback
        print(f"studiotimer: the window could not be opened; {_kept(error)}", file=sys.stderr)
        return 1


def _kept(error: Exception) -> str:
    """Write down why the window did not open, and return where, or why itself where nothing can be written."""
    from studiotimer.window import faults

    said: list[str] = []
    faults.keep_log()
    faults.tell_of_start(said.append)
    faults.report("opening the window", error, "")
    return plain("".join(said)) or f"{type(error).__name__}: {plain(str(error))[:200]}"


def _verify(options: argparse.Namespace) -> int:
    from studiotimer.session.reading import SessionFileError
    from studiotimer.session.verifying import verify

    try:
        verified = verify(options.file)
    except SessionFileError as error:
        raise BadInputError(str(error)) from None
    show(verified.values(), verified.text(), options.json)
    return 0 if verified.whole else 1


def _register_call(commands: _SubParsersAction[Any]) -> None:
    from studiotimer.cli.calls import add_kinds

    call = commands.add_parser(
        "call",
        help="make a call in the running window; exit 0 only when it is on disk",
        description="Makes a call in the running window, for button boxes and scripts. What is not given is filled in "
        "as if the key had been pressed. Exit 0 only when the entry is on disk.",
    )
    add_kinds(call)
