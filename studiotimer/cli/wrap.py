"""`studiotimer wrap`: what happened, frame by frame, and what to do differently; or many sessions side by side."""

from __future__ import annotations

import argparse
import datetime as dt
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from studiotimer.cli import BadInputError, Commands, show
from studiotimer.cli.libraries import what_drawing_lacks

if TYPE_CHECKING:
    from studiotimer.wrap.export import Asked


def register(commands: Commands) -> None:
    """Add the command."""
    parser = commands.add_parser(
        "wrap",
        help="what happened on set, frame by frame: report, tables, next shoot's plan",
        description="Writes report.html, report.pdf, scoops.csv, frames.csv and next_plan.json for a session; for a "
        "folder of sessions, sessions.csv with working times by mix and set.",
        epilog="example: studiotimer wrap shoot.setlog --out wrapped --frames pictures --camera-offset -3s",
    )
    add = parser.add_argument
    add("session", metavar="FILE.setlog", type=Path, help="a session, or a folder of sessions")
    add("--out", metavar="DIR", type=Path, required=True, help="folder for the files")
    add(
        "--frames", metavar="DIR_OR_CSV", type=Path, action="append", default=[],
        help="a folder of pictures, only read, or a CSV: name, time; may be given several times",
    )  # fmt: skip
    add("--selects", metavar="LIST.csv", type=Path, help="names of the frames that were chosen, one a row")
    add("--camera-offset", metavar="SPAN", help="how far the camera's clock was ahead: 2min; behind: -3s, -1:02:00")
    add("--camera-zone", metavar="ZONE", help="zone the camera was set to, for frames without one: +02:00")
    add("--pair", metavar="FRAME=ENTRY", help="a frame taken at the moment of a call, by its number in the log")
    add("--screen", metavar="FRAME=TIME", help="a frame that shows the crew screen's time of day: A_0001.JPG=10:32:05")
    add("--zone", metavar="ZONE", help="zone the set was in: Europe/Berlin (default: the plan's, else this machine's)")
    add("--next-date", metavar="DATE", help="date of the next shoot, for its plan (default: a week from today)")
    add(
        "--units",
        choices=("metric", "US"),
        default="metric",
        help="units of the report, and its paper: A4 or Letter",
    )
    add("--json", action="store_true", help="print the results as one JSON object")
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from studiotimer.session.first_lines import SessionFileError
    from studiotimer.units import show_in
    from studiotimer.wrap.camera import CameraError
    from studiotimer.wrap.frames import FramesError
    from studiotimer.wrap.recorded import WrongClockError
    from studiotimer.wrap.zones import ZoneError

    show_in(options.units)
    try:
        return _folder(options) if options.session.is_dir() else _session(options)
    except KeyboardInterrupt:
        print("studiotimer: stopped; nothing was written", file=sys.stderr)
        return 130
    except CameraError as error:
        raise BadInputError(f"{error} ({error.options})" if error.options else str(error)) from None
    except (SessionFileError, FramesError, ZoneError, WrongClockError) as error:
        raise BadInputError(str(error)) from None


def _session(options: argparse.Namespace) -> int:
    if (missing := what_drawing_lacks()) is not None:
        print(f"studiotimer: {missing}", file=sys.stderr)
        return 1
    from studiotimer.wrap.export import Exported, export

    found: Exported = export(options.session, _asked(options), _progress)
    from studiotimer.window.wrap.report_drawn import drawn_files

    report = found.report
    files = found.files | drawn_files(report, letter=options.units == "US")
    written = _write(options.out, files)
    for sentence in found.gaps:
        print(f"studiotimer: {sentence}", file=sys.stderr)
    show(found.values | {"files": written}, "\n".join([*_text(report), "", *written]), options.json)
    return 0


def _asked(options: argparse.Namespace) -> Asked:
    from studiotimer.wrap.export import Asked
    from studiotimer.wrap.zones import clock_span, zone_named

    return Asked(
        frames=tuple(options.frames),
        selects=options.selects,
        camera_ahead_s=clock_span(options.camera_offset, "camera-offset") if options.camera_offset else None,
        camera_zone=zone_named(options.camera_zone) if options.camera_zone else None,
        pair=_named(options.pair, "pair", "A_0001.JPG=27"),
        screen=_named(options.screen, "screen", "A_0001.JPG=10:32:05"),
        zone=zone_named(options.zone) if options.zone else None,
        next_date=_date(options.next_date),
    )


def _named(text: str | None, option: str, example: str) -> tuple[str, str] | None:
    if text is None:
        return None
    name, found, value = text.rpartition("=")
    if not (found and name and value):
        raise BadInputError(f"{option}: write a frame, =, and what it shows, like {example}")
    return name, value


def _date(text: str | None) -> dt.date:
    from studiotimer.prep.times import EARLIEST, LATEST, in_a_plan, today

    if text is None:
        return today(ahead=7)
    try:
        date = dt.date.fromisoformat(text)
    except ValueError:
        raise BadInputError(f"next-date: “{text[:40]}” is not a date; write 2026-07-01") from None
    if in_a_plan(date) != date:
        raise BadInputError(f"next-date: {date} is not possible; give {EARLIEST} to {LATEST}")
    return date


def _folder(options: argparse.Namespace) -> int:
    from studiotimer.wrap.side_by_side import of_folder, sessions_csv

    rows, failed = of_folder(options.session, _progress)
    for sentence in failed:
        print(f"studiotimer: {sentence}", file=sys.stderr)
    if not rows:
        raise BadInputError(f"{options.session} holds no session with heroes; choose another folder")
    written = _write(options.out, {"sessions.csv": sessions_csv(rows)})
    from studiotimer.units import duration

    lines = [
        f"{one.mix}, {one.set}, {one.look}: {duration(one.working_s)} of {one.heroes} ({one.session})" for one in rows
    ]
    values = {"sessions": [one.__dict__ for one in rows], "not_read": failed, "files": written}
    show(values, "\n".join([*lines, "", *written]), options.json)
    return 0


def _write(out: Path, files: dict[str, bytes]) -> list[str]:
    from studiotimer.files import write_all

    try:
        write_all(out, files)
    except OSError as error:
        raise BadInputError(f"--out: {out} cannot be written: {error.strerror}; choose another folder") from None
    return sorted(str(out / name) for name in files)


def _progress(done: int, total: int) -> bool:
    """Show how far it is, where somebody watches; Ctrl-C stops it."""
    if sys.stderr.isatty() and (done % 50 == 0 or done == total):
        print(f"\r{done} of {total}", end="\n" if done == total else "", file=sys.stderr, flush=True)
    return True


def _text(report: Any) -> list[str]:
    lines = [report.title, report.subtitle, "", *report.findings, ""]
    lines += [f"{fact.caption}: {fact.figure}" + (f" ({fact.note})" if fact.note else "") for fact in report.facts]
    lines += [f"{one.look} look: {one.words}" for one in report.ages]
    for title, each in report.lists:
        lines += ["", f"{title}:", *(f"  {line}" for line in each)]
    return lines + (["", *report.cautions] if report.cautions else [])
