"""Commands about a shoot: the window, rehearse, verify, call."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from studiotimer.cli import BadInputError, Commands, show
from studiotimer.cli.libraries import what_is_missing
from studiotimer.cli.trying import add_without, whole
from studiotimer.plain import plain

if TYPE_CHECKING:
    from studiotimer.session.rehearsal import RehearsalAsked

Check = Callable[[Path], None]
"""Refuses a file, by BadInputError."""
PLAN_SUFFIX = ".json"
LOOK_S = 2.0
"""How long a file may take to be looked at before the window opens; what is slower is said in the window."""


def register(commands: Commands) -> None:
    """Add this group's commands."""
    window = commands.add_parser(
        "window",
        help="open the window (what happens when no command is named)",
        epilog="example: studiotimer window shoot.setlog",
    )
    window.add_argument(
        "file", nargs="?", type=Path, metavar="FILE.setlog", help="the session, or a PLAN.json, to open"
    )
    window.add_argument("--follow", action="store_true", help="read-only, beside the window that writes it")
    _add_log(window)
    window.set_defaults(run=_window)
    rehearse = commands.add_parser(
        "rehearse",
        help="play a recorded session in the window, or shoot a plan with simulated ice cream",
        description="Plays a recorded session; nothing is logged. Or rehearses a plan: the calls are yours, the ice "
        "cream is simulated, and nothing is kept unless you say so.",
        epilog="example: studiotimer rehearse shoot.setlog",
    )
    rehearse.add_argument(
        "file", type=Path, metavar="FILE", help="the FILE.setlog to play, or the PLAN.json to rehearse"
    )
    rehearse.add_argument(
        "--speed", type=float, help="1 to 60 times as fast as the day (default: 20 for a session, 1 for a plan)"
    )
    rehearse.add_argument("--luck", help="of a plan: a whole number; the same one gives the same day (default: drawn)")
    add_without(rehearse)
    _add_log(rehearse)
    rehearse.set_defaults(run=_rehearse)
    verify = commands.add_parser(
        "verify",
        help="say whether a session file is whole, torn or damaged",
        epilog="example: studiotimer verify shoot.setlog",
    )
    verify.add_argument("file", type=Path, metavar="FILE.setlog", help="the session to read")
    verify.add_argument("--json", action="store_true", help="print one JSON object: entries, state, bad_lines")
    verify.set_defaults(run=_verify)
    _register_call(commands)


def _add_log(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--log",
        metavar="CATEGORIES",
        help="to find a fault with: what is written step by step to hops.log in your state folder, of calls, "
        "forecast and disk, with commas between them (default: nothing); example: calls,disk",
    )


def _keep_log(wanted: str | None) -> None:
    """Have hops written where they are asked for; refuse what is no category of them."""
    if wanted is None:
        return
    from studiotimer.hop_file import keep
    from studiotimer.hops import CategoryError, categories

    try:
        kept = categories(wanted)
    except CategoryError as error:
        raise BadInputError(str(error)) from None
    print(f"studiotimer: hops of {', '.join(kept)} are written to {plain(str(keep(kept)))}")


def _window(options: argparse.Namespace) -> int:
    plan = options.file is not None and options.file.suffix == PLAN_SUFFIX
    _look(_plan_check if plan else _session_check, options.file)
    _keep_log(options.log)
    return _run_window(options.file, follow=options.follow)


def _rehearse(options: argparse.Namespace) -> int:
    from studiotimer.session.rehearsal import USUAL_SPEED, RehearsalAsked, SpeedError, checked_speed

    plan = options.file.suffix == PLAN_SUFFIX
    speed = (1.0 if plan else USUAL_SPEED) if options.speed is None else options.speed
    luck = None if options.luck is None else whole(options.luck, "luck")
    try:
        checked_speed(speed)
    except SpeedError as error:
        raise BadInputError(str(error)) from None
    if plan:
        _check_luck(options.without)
        _look(_shot_check, options.file)
    elif luck is not None or options.without:
        named = "without" if luck is None else "luck"
        raise BadInputError(f"{named}: a recorded day has its own luck; leave it out, or rehearse a PLAN.json")
    else:
        _look(_session_check, options.file)
    _keep_log(options.log)
    return _run_window(options.file, rehearsed=RehearsalAsked(speed, luck, tuple(options.without)))


def _look(loaded: Callable[[], Check], path: Path | None) -> None:
    """Refuse what cannot be opened before a window opens; a disk that does not answer soon is left to the window.

    Qt and all that the look needs are loaded before it begins: it may go on beside the window, and what another thread
    loads while Qt for Python is loaded would leave that one's own import in place.
    """
    from studiotimer.errors import SlowError
    from studiotimer.working import within

    if path is not None:
        if what_is_missing() is None:
            import_module("studiotimer.window")
        check = loaded()
        with suppress(SlowError):
            within(LOOK_S, "a look at the file", lambda: check(path))


def _session_check() -> Check:
    """Return what refuses what is no session."""
    from studiotimer.session.first_lines import SessionFileError
    from studiotimer.session.reading import read_header
    from studiotimer.session.together import gone_on

    def check(path: Path) -> None:
        try:
            read_header(path)
        except SessionFileError as error:
            raise BadInputError(str(gone_on(path, error))) from None

    return check


def _plan_check() -> Check:
    """Return what refuses what is no plan."""
    from studiotimer.prep.loading import load_plan
    from studiotimer.prep.plan import PlanError

    def check(path: Path) -> None:
        try:
            load_plan(path)
        except PlanError as error:
            raise BadInputError(str(error)) from None

    return check


def _shot_check() -> Check:
    """Return what refuses a plan that no rehearsal could shoot."""
    from studiotimer.prep.loading import load_plan
    from studiotimer.prep.plan import PlanError
    from studiotimer.prep.results import results_of
    from studiotimer.trial.figures import TrialError, check

    def check_shot(path: Path) -> None:
        try:
            check(results_of(load_plan(path)))
        except (PlanError, TrialError) as error:
            raise BadInputError(str(error)) from None

    return check_shot


def _check_luck(without: Sequence[str]) -> None:
    """Refuse what never goes wrong on such a day."""
    from studiotimer.trial.figures import TrialError
    from studiotimer.trial.luck import usual_luck

    try:
        usual_luck().without(without)
    except TrialError as error:
        raise BadInputError(str(error)) from None


def _run_window(path: Path | None, follow: bool = False, rehearsed: RehearsalAsked | None = None) -> int:
    if (missing := what_is_missing()) is not None:
        print(f"studiotimer: {missing}", file=sys.stderr)
        return 1
    from studiotimer.session.collector import lasting

    try:
        with lasting():
            from studiotimer.window.app import run
        return run(path, follow, rehearsed)
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
    from studiotimer.session.first_lines import SessionFileError
    from studiotimer.session.verifying import verify

    try:
        verified = verify(options.file)
    except SessionFileError as error:
        raise BadInputError(str(error)) from None
    show(verified.values(), verified.text(), options.json)
    return 0 if verified.whole else 1


def _register_call(commands: Commands) -> None:
    call = commands.add_parser(
        "call",
        help="make a call in the running window; exit 0 only when it is on disk",
        description="Makes a call in the running window, for button boxes and scripts. What is not given is filled in "
        "as if the key had been pressed. Exit 0 only when the entry is on disk.",
    )
    call.fill = _add_kinds


def _add_kinds(call: argparse.ArgumentParser) -> None:
    from studiotimer.cli.calls import add_kinds  # brings all a session knows of calls, which no other command needs

    add_kinds(call)
