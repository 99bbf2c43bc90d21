"""`studiotimer trial`: how likely a planned day gives every shot, and what would help."""

from __future__ import annotations

import argparse
import re
from pathlib import Path

from studiotimer import cli
from studiotimer.plain import plain

LONGEST_SEED = 18


def register(commands: cli.Commands) -> None:
    """Add the command."""
    parser = commands.add_parser(
        "trial",
        help="simulate a planned day many times: how often it gives every shot, and what would help",
        description="Simulates a planned day many times and says on how many of them every shot was got by the planned "
        "wrap, what ended the others, what is used, and what some changes would make of it.",
        epilog="example: studiotimer trial plan.json --days 1000 --seed 1",
    )
    parser.add_argument("plan", metavar="PLAN.json", type=Path)
    parser.add_argument("--days", default="1000", help="how many days, 1 to 100,000 (default: 1000)")
    parser.add_argument("--seed", default="1", help="a whole number; the same one gives the same days (default: 1)")
    add_without(parser)
    parser.add_argument("--units", choices=("metric", "US"), default="metric", help="units shown (default: metric)")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from studiotimer.prep.cautions import DRY_ICE
    from studiotimer.prep.loading import load_plan
    from studiotimer.prep.plan import PlanError
    from studiotimer.prep.results import results_of
    from studiotimer.trial.answer import answer_of
    from studiotimer.trial.figures import TrialError
    from studiotimer.trial.luck import usual_luck

    days, seed = whole(options.days, "days"), whole(options.seed, "seed")
    try:
        luck = usual_luck().without(options.without)
        answer = answer_of(results_of(load_plan(options.plan), options.units), days, seed, luck)
    except (PlanError, TrialError) as error:
        raise cli.BadInputError(str(error)) from None
    text = [answer.title, "", answer.sentence, ""]
    text += [f"{name}: {found.how}" for name, found in answer.found]
    text += ["", f"source: {answer.found[0][1].source}"]
    if answer.iced:
        text += ["", DRY_ICE]
    cli.show(answer.as_json(), "\n".join(text), options.json)
    return 0


def add_without(parser: argparse.ArgumentParser) -> None:
    """Add the option that sets what goes wrong to none."""
    parser.add_argument(
        "--without",
        metavar="WHAT",
        action="append",
        default=[],
        help="let this never go wrong: dropped, late lock, one take more, freezer door, or accidents for all of them; "
        "may be given again",
    )


def whole(text: str, name: str) -> int:
    """Return a whole number of 0 or more; raises BadInputError naming the option."""
    if not re.fullmatch(r"[0-9]+", text.strip()):
        raise cli.BadInputError(f"{name}: “{plain(text)[:40]}” is not a whole number; write one like 7")
    if len(text.strip()) > LONGEST_SEED:
        raise cli.BadInputError(f"{name}: a number of {len(text.strip())} digits is too large; write one like 7")
    return int(text)
