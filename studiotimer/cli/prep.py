"""`studiotimer prep`: a plan's results, and the files a crew takes along."""

from __future__ import annotations

import argparse
import datetime as dt
import sys
from pathlib import Path
from typing import Any

from studiotimer import cli
from studiotimer.cli.libraries import what_drawing_lacks


def register(commands: cli.Commands) -> None:
    """Add the command."""
    parser = commands.add_parser(
        "prep",
        help="what a plan needs: product, freezer, dry ice, run sheet",
        epilog="example: studiotimer prep plan.json --out sheet",
    )
    parser.add_argument("plan", metavar="PLAN.json")
    parser.add_argument(
        "--out",
        metavar="DIR",
        required=True,
        help="folder for sheet, flags, messages, shopping list, calendar, plan",
    )
    parser.add_argument("--units", choices=("metric", "US"), help="units shown (default: as the plan is written)")
    parser.add_argument("--json", action="store_true", help="print the results as JSON")
    parser.set_defaults(run=_run)


def _run(arguments: argparse.Namespace) -> int:
    if (missing := what_drawing_lacks()) is not None:
        print(f"studiotimer: {missing}", file=sys.stderr)
        return 1
    from studiotimer.files import write_all
    from studiotimer.prep.loading import load_plan
    from studiotimer.prep.outputs import made_now
    from studiotimer.prep.plan import PlanError, written_in
    from studiotimer.prep.results import dates_past, results_of
    from studiotimer.units import date_words

    try:
        plan = load_plan(arguments.plan)
        results = results_of(plan, arguments.units or written_in(plan))
    except PlanError as error:
        raise cli.BadInputError(str(error)) from None
    from studiotimer.window.prep.papers import all_files

    out = Path(arguments.out)
    files = all_files(results, made_now())
    try:
        write_all(out, files)
    except OSError as error:
        raise cli.BadInputError(f"--out: {out} cannot be written: {error.strerror}; choose another folder") from None
    now = dt.datetime.now()
    over = f"note: the planned day is past, {date_words(plan.date, False)}; its files are written all the same"
    notes = [over] if plan.call < now else dates_past(plan, results, now)
    for sentence in [*notes, *results.warnings]:
        print(f"studiotimer: {sentence}", file=sys.stderr)
    written = {"files": sorted(str(out / name) for name in files)}
    cli.show(results.as_json() | written, _text(results, written["files"]), arguments.json)
    return 0


def _text(results: Any, files: list[str]) -> str:
    from studiotimer.prep.cautions import DRY_ICE
    from studiotimer.prep.results import run_sheet_times
    from studiotimer.units import date_words

    lines = [f"{results.plan.title}, {date_words(results.day.call)}, call time {results.day.call:%H:%M}", ""]
    lines += [f"from the last shoot: {words}" for words in results.plan.carried]
    lines.append(f"last shot ends {results.ends.text}: {results.ends.how}")
    if results.sun is not None:
        lines.append(f"{results.sun.found.text}: {results.sun.found.how}")
    for freezer in results.freezers:
        lines.append(f"{freezer.name}: {freezer.setting.text} ({', '.join(freezer.flavours)})")
        lines += [f"  {cost.text}" for cost in freezer.costs]
    if results.split is not None:
        lines.append(f"  costs least {results.split.text}: {results.split.how}")
    lines.append(f"product in by {results.product_in.text}: {results.product_in.how}")
    lines += [f"{each.flavour}: {each.pulls.text}, {each.tubs.text}" for each in results.products]
    lines += [f"to order: {line.what}, {line.how_much} ({line.how})" for line in results.order]
    for shot in results.shots:
        iced = f", with dry ice {shot.iced.text}" if shot.iced else ""
        lines.append(
            f"{shot.name}: window {shot.plain.text}{iced}; {shot.frames_fit.text}, "
            f"heroes {shot.groups.text}; {shot.verdict}"
        )
        lines += [f"  {found.text}" for found in shot.said]
    if results.ice is not None:
        lines += [f"dry ice: {results.ice.buy.text} ({results.ice.parts})", f"CO₂: {results.ice.co2.text}", DRY_ICE]
    lines.append("")
    times = run_sheet_times(results)
    lines += [f"{time:>13}  {each.what}" for each, time in zip(results.run_sheet, times, strict=True)]
    return "\n".join([*lines, "", *files])
