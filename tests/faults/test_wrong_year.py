"""A machine whose clock is years off: the shoot begins, the year is said, and the wrap is written."""

import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from studiotimer.session.live import new_session, open_session
from studiotimer.session.reading import read
from tests.session.clocks import HandClock
from tests.session.shoots import plan

FAKETIME = next(Path("/usr/lib").glob("*/faketime/libfaketime.so.1"), None) if sys.platform == "linux" else None
WRONG = [
    datetime(1970, 1, 1, 0, 0, 5, tzinfo=UTC),
    datetime(1999, 12, 31, tzinfo=UTC),
    datetime(2300, 1, 1, tzinfo=UTC),
]


@pytest.mark.parametrize("now", WRONG, ids=lambda now: now.year)
def test_calls_are_taken_and_the_year_is_said(tmp_path, now):
    path = tmp_path / "shoot.setlog"
    session = new_session(path, plan(), HandClock(now))
    assert session.words[0].startswith(f"This machine's clock says {now.year}.")
    session.clock.advance(5)
    assert session.call("pull", tick=0.0).refused is None
    assert session.close()
    assert read(path).condition == "whole"
    again = open_session(path, HandClock(now))
    assert any("clock says" in words for words in again.words)
    assert again.close()


SHOOTS = """
import sys
from pathlib import Path
from studiotimer.cli import main
from studiotimer.prep.plan import quick_plan
from studiotimer.session.live import new_session
from studiotimer.session.reading import read
from studiotimer.session.taken_up import take_up
path = Path(sys.argv[1])
plan = quick_plan("vanilla", "premium", "crisp", 22.0, "LED 2000 lx")
session = new_session(path, plan)
for kind in ("shot", "pull", "hero_in", "frame"):
    assert session.call(kind).refused is None
assert session.close()
take_up(read(path), path.with_name("again.setlog"), session.clock.now())
raise SystemExit(main(["wrap", str(path), "--out", str(path.parent / "out")]))
"""


@pytest.mark.skipif(FAKETIME is None, reason="needs libfaketime: apt-get install faketime")
@pytest.mark.parametrize("at", ["@1970-01-01 00:00:05", "@1999-12-31 23:59:50", "@2250-06-01 12:00:00"])
@pytest.mark.parametrize("zone", ["UTC", "America/Los_Angeles", "Asia/Tokyo"])
def test_a_shoot_and_its_wrap_on_a_bent_clock(tmp_path, at, zone):
    bent = {
        "LD_PRELOAD": str(FAKETIME), "FAKETIME": at, "TZ": zone, "DONT_FAKE_MONOTONIC": "1",
        "FAKETIME_DONT_FAKE_MONOTONIC": "1",
    }  # fmt: skip
    done = subprocess.run(
        [sys.executable, "-c", SHOOTS, str(tmp_path / "shoot.setlog")],
        env=os.environ | bent, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out" / "next_plan.json").is_file()
    assert "Traceback" not in done.stderr


def test_a_date_no_plan_can_have_is_refused_in_a_sentence(tmp_path, capsys):
    from studiotimer.cli import main

    new_session(tmp_path / "shoot.setlog", plan(), HandClock()).close()
    asked = ["wrap", str(tmp_path / "shoot.setlog"), "--out", str(tmp_path / "out"), "--next-date", "1970-01-01"]
    assert main(asked) == 2
    assert capsys.readouterr().err == (
        "studiotimer: next-date: 1970-01-01 is not possible; give 2000-01-01 to 2200-01-01\n"
    )
