"""The verdict on a session file, for people and for programs."""

import pytest

from studiotimer.session.first_lines import SessionFileError
from studiotimer.session.verifying import MOST_NAMED, verify
from tests.session.shoots import file_bytes, small_shoot

ENTRIES = small_shoot()


@pytest.fixture
def path(tmp_path):
    return tmp_path / "shoot.setlog"


def test_whole(path):
    path.write_bytes(file_bytes(ENTRIES))
    verdict = verify(path)
    assert verdict.whole
    assert verdict.values() == {"entries": 27, "state": "whole", "bad_lines": []}
    assert verdict.text() == "whole, 27 entries"


def test_torn(path):
    path.write_bytes(file_bytes(ENTRIES[:2])[:-4])
    verdict = verify(path)
    assert not verdict.whole
    assert verdict.values() == {"entries": 1, "state": "torn", "bad_lines": [3]}
    assert verdict.text() == "torn, 1 entry\nline 3: the last line is torn"


def test_damaged(path):
    lines = file_bytes(ENTRIES).splitlines(keepends=True)
    path.write_bytes(b"".join([*lines[:3], lines[3].strip() + lines[4], *lines[5:]]))
    verdict = verify(path)
    assert verdict.values() == {"entries": 25, "state": "damaged", "bad_lines": [4, 5]}
    assert verdict.text().splitlines()[1:] == [
        "line 4: the line was changed: its sum does not match",
        "line 5: entries 3 to 4 are missing before this line",
    ]


def test_very_damaged_it_names_the_first_lines_and_counts_the_rest(path):
    path.write_bytes(file_bytes(ENTRIES) + b"rubbish\n" * 30)
    verdict = verify(path)
    assert len(verdict.values()["bad_lines"]) == 30
    assert len(verdict.text().splitlines()) == MOST_NAMED + 2
    assert verdict.text().endswith("and 10 more")


def test_not_a_session(path):
    path.write_bytes(b"hello\n")
    with pytest.raises(SessionFileError):
        verify(path)
