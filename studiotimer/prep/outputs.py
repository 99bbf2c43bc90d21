"""The files a plan becomes, but for the printed sheet, which needs Qt."""

from __future__ import annotations

import datetime as dt
import os

from studiotimer.prep.calendar_file import calendar_of
from studiotimer.prep.messages import messages_of
from studiotimer.prep.plan import plan_text
from studiotimer.prep.results import Results
from studiotimer.prep.shopping import shopping_csv

LONGEST_EPOCH = 10
"""Figures of the largest moment that is taken, in the year 2286; for a longer one the files state the time it is."""
SHEET = "sheet.pdf"


def files_of(results: Results, made: dt.datetime) -> dict[str, bytes]:
    """Return shopping list, calendar, messages and plan, by file name; `made` (aware) is the date they state."""
    return {
        "shopping.csv": shopping_csv(results),
        "run_sheet.ics": calendar_of(results.plan, results.run_sheet, made),
        "plan.json": plan_text(results.plan).encode("utf-8"),
        **{each.file_name: each.text.encode("utf-8") for each in messages_of(results)},
    }


def made_now() -> dt.datetime:
    """Return the moment the files state they were made: now, or what SOURCE_DATE_EPOCH says, to the second.

    The variable is the reproducible-builds.org convention.
    """
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    if epoch.isascii() and epoch.isdigit() and len(epoch) <= LONGEST_EPOCH:
        return dt.datetime.fromtimestamp(int(epoch), dt.UTC)
    return dt.datetime.now().astimezone().replace(microsecond=0)
