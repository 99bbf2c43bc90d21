"""A session followed while another program writes it."""

import pytest

from studiotimer.session.first_lines import SessionFileError
from studiotimer.session.following import PATIENCE_S, Follower
from studiotimer.session.journal import create, open_for_writing
from studiotimer.session.lines import to_line
from tests.session.shoots import BEGAN, file_bytes, header_line, small_shoot

ENTRIES = small_shoot()


class Seconds:
    def __init__(self):
        self.now = 100.0

    def __call__(self):
        return self.now


@pytest.fixture
def seconds():
    return Seconds()


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "shoot.setlog"
    path.write_bytes(file_bytes(ENTRIES[:3], plan={"title": "Test"}))
    return path


@pytest.fixture
def follower(path, seconds):
    return Follower(path, seconds)


def add(path, data):
    with path.open("ab") as file:
        file.write(data)


def test_what_is_there_comes_first_then_what_is_added(path, follower):
    assert follower.header.plan == {"title": "Test"}
    assert list(follower.poll()) == ENTRIES[:3]
    assert follower.poll() == ()
    journal, _, _ = open_for_writing(path)
    for number in range(3, len(ENTRIES), 4):
        journal.append(ENTRIES[number : number + 4])
        assert list(follower.poll()) == ENTRIES[number : number + 4]
    journal.close()
    assert (follower.trouble, follower.bad_lines) == (None, ())


def test_a_line_still_being_written_is_waited_for(path, follower, seconds):
    follower.poll()
    line = to_line(ENTRIES[3])
    for place in range(0, len(line) - 1, 25):
        add(path, line[place : min(place + 25, len(line) - 1)])
        assert follower.poll() == ()
        assert follower.trouble is None
    seconds.now += PATIENCE_S
    assert follower.poll() == ()
    assert follower.trouble == "line 5 of shoot.setlog is not complete yet"
    add(path, b"\n")
    assert list(follower.poll()) == [ENTRIES[3]]
    assert follower.trouble is None


def test_a_line_whose_bytes_arrive_late_is_waited_for(path, follower, seconds):
    """Over a shared folder a line's length can arrive before what stands in it."""
    follower.poll()
    before = path.read_bytes()
    line = to_line(ENTRIES[3])
    path.write_bytes(before + b"\0" * (len(line) - 1) + b"\n" + to_line(ENTRIES[4]))
    assert follower.poll() == ()
    path.write_bytes(before + line + to_line(ENTRIES[4]))
    assert list(follower.poll()) == ENTRIES[3:5]
    assert follower.bad_lines == ()


def test_a_line_that_stays_bad_is_given_up_named_and_passed(path, follower, seconds):
    follower.poll()
    add(path, b"damage\n" + to_line(ENTRIES[4]))
    assert follower.poll() == ()
    seconds.now += PATIENCE_S
    assert list(follower.poll()) == [ENTRIES[4]]
    assert [(bad.line, bad.why) for bad in follower.bad_lines] == [(5, "the line has no sum at its end")]
    assert follower.trouble is None


def test_each_bad_line_has_its_own_patience(path, follower, seconds):
    follower.poll()
    add(path, b"damage\n")
    follower.poll()
    seconds.now += PATIENCE_S
    add(path, b"more\n")
    assert follower.poll() == ()
    assert [bad.line for bad in follower.bad_lines] == [5]
    seconds.now += PATIENCE_S - 0.1
    follower.poll()
    assert [bad.line for bad in follower.bad_lines] == [5]


def test_a_file_that_is_away_is_said_to_be_and_followed_again(path, follower):
    follower.poll()
    away = path.rename(path.with_name("away"))
    assert follower.poll() == ()
    assert follower.trouble == "shoot.setlog cannot be read just now: No such file or directory"
    add(away, to_line(ENTRIES[3]))
    away.rename(path)
    assert list(follower.poll()) == [ENTRIES[3]]
    assert follower.trouble is None


def test_a_file_cut_back_by_its_writer_is_waited_for(path, follower):
    """As when the writer's disk fills up: what was not on disk is cut off and written again later."""
    before = path.read_bytes()
    add(path, to_line(ENTRIES[3]))
    assert list(follower.poll()) == ENTRIES[:4]
    path.write_bytes(before)
    assert follower.poll() == ()
    assert follower.trouble == "shoot.setlog is shorter than it was; waiting for it to grow again"
    path.write_bytes(file_bytes(ENTRIES[:5], plan={"title": "Test"}))
    assert list(follower.poll()) == [ENTRIES[4]]
    assert follower.trouble is None


def test_another_file_in_its_place_is_not_taken_for_it(path, follower):
    follower.poll()
    path.write_bytes(file_bytes(ENTRIES, session="another", plan={"title": "Other and longer"}))
    assert follower.poll() == ()
    assert follower.trouble == "shoot.setlog was replaced by another file; open it again to follow that one"


def test_a_new_session_can_be_followed_from_its_first_line(tmp_path):
    journal, _ = create(tmp_path / "new.setlog", {}, BEGAN)
    follower = Follower(tmp_path / "new.setlog")
    assert follower.poll() == ()
    journal.append(ENTRIES[:1])
    assert list(follower.poll()) == ENTRIES[:1]
    journal.close()


@pytest.mark.parametrize("data", [b"", b"hello\n", header_line()[:-1], header_line()[:30]])
def test_what_is_no_whole_session_cannot_be_followed(tmp_path, data):
    path = tmp_path / "x.setlog"
    path.write_bytes(data)
    with pytest.raises(
        SessionFileError, match=r"^x.setlog cannot be followed: its first line is not a whole session's$"
    ):
        Follower(path)
    with pytest.raises(SessionFileError, match="there is no such file"):
        Follower(tmp_path / "gone.setlog")
