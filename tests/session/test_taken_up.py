"""A recorded day is taken up as if its first hero were next."""

from datetime import UTC, datetime, timedelta

import pytest

from studiotimer.places import demo_sessions
from studiotimer.session.first_lines import SessionFileError
from studiotimer.session.journal import create, write_all
from studiotimer.session.live import open_session
from studiotimer.session.reading import read
from studiotimer.session.taken_up import take_up
from studiotimer.session.verifying import verify
from tests.session.clocks import HandClock

NOW = datetime(2031, 3, 4, 15, 30, tzinfo=UTC)
DEMOS = sorted(demo_sessions().glob("*/*.setlog"))


@pytest.mark.parametrize("demo", DEMOS, ids=lambda path: path.stem)
def test_the_line_waits_as_long_as_it_did_and_the_hero_is_next(tmp_path, demo):
    recorded = read(demo)
    first = next(entry for entry in recorded.entries if entry.kind == "hero_in")
    path = take_up(recorded, tmp_path / "demo.setlog", NOW)
    assert verify(path).state == "whole"
    clock = HandClock(NOW + timedelta(seconds=5))
    session = open_session(path, clock)
    last = session.ledger.entries[first.n - 2]
    assert (last.n, last.at) == (first.n - 1, NOW)
    assert [entry.kind for entry in session.ledger.entries[first.n - 1 :]] == ["closed", "opened"]
    assert session.words == []
    assert session.plan.date.isoformat() == "2031-03-04"
    line = {scoop.number: session.time() - scoop.pulled for scoop in session.state.line()}
    assert set(first.scoops) <= set(line)
    assert max(line.values()) < 600
    assert session.call("hero_in").entry.scoops == first.scoops
    session.close()


def test_a_day_without_a_hero_is_taken_up_at_its_end(tmp_path):
    recorded = read(DEMOS[0])
    journal, _ = create(tmp_path / "quiet.setlog", recorded.header.plan, recorded.header.created)
    write_all(journal, [*recorded.entries[:5], recorded.entries[-1].model_copy(update={"n": 6})])
    journal.close()
    again = read(take_up(read(tmp_path / "quiet.setlog"), tmp_path / "again.setlog", NOW))
    assert [entry.kind for entry in again.entries] == ["opened", "shot", "reading", "reading", "reading", "closed"]
    assert again.entries[-1].at == NOW


def test_a_place_that_is_taken_is_said(tmp_path):
    taken = tmp_path / "taken.setlog"
    taken.write_text("mine")
    with pytest.raises(SessionFileError, match=r"taken\.setlog"):
        take_up(read(DEMOS[0]), taken, NOW)
    assert taken.read_text() == "mine"
