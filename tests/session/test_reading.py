"""A session file read: whole, torn or damaged, each bad line named."""

import os
import shutil
import zlib
from pathlib import Path

import pytest

from studiotimer.prep.plan import Plan
from studiotimer.session import reading
from studiotimer.session.first_lines import LARGEST_FILE, LONGEST_LINE, VERSION, SessionFileError, checked_body, summed
from studiotimer.session.forecast import Forecaster
from studiotimer.session.lines import to_line
from studiotimer.session.live import open_session
from studiotimer.session.mending import Ledger
from studiotimer.session.reading import parse, read, read_header
from studiotimer.session.titles import title_of
from tests.session.shoots import BEGAN, entry, file_bytes, header_line, small_shoot

ENTRIES = small_shoot()
WHOLE = file_bytes(ENTRIES, plan={"title": "Test"})


def lines_of(data):
    return data.splitlines(keepends=True)


def named(held):
    return [(bad.line, bad.why) for bad in held.bad_lines]


@pytest.fixture
def path(tmp_path):
    return tmp_path / "shoot.setlog"


def test_a_whole_file(path):
    path.write_bytes(WHOLE)
    held = read(path)
    assert list(held.entries) == ENTRIES
    assert (held.condition, held.bad_lines, held.good_bytes) == ("whole", (), len(WHOLE))
    assert held.header.plan == {"title": "Test"}
    assert (held.header.session, held.header.created) == ("s-1", BEGAN)


def test_a_header_alone_is_a_whole_session(path):
    held = parse(path, header_line())
    assert (held.condition, held.entries) == ("whole", ())


def test_a_last_line_that_lacks_only_its_end_counts(path):
    held = parse(path, WHOLE[:-1])
    assert list(held.entries) == ENTRIES
    assert (held.condition, held.good_bytes) == ("whole", len(WHOLE) - 1)


def test_a_header_that_lacks_only_its_end_counts(path):
    held = parse(path, header_line()[:-1])
    assert (held.condition, held.good_bytes) == ("whole", len(header_line()) - 1)


def test_a_torn_tail_is_named_and_the_rest_read(path):
    held = parse(path, WHOLE[:-9])
    assert list(held.entries) == ENTRIES[:-1]
    assert held.condition == "torn"
    assert named(held) == [(len(ENTRIES) + 1, "the last line is torn")]
    assert held.good_bytes == len(b"".join(lines_of(WHOLE)[:-1]))


def test_a_tail_whose_number_does_not_follow_is_torn(path):
    held = parse(path, file_bytes(ENTRIES[:3]) + to_line(ENTRIES[5])[:-1])
    assert held.condition == "torn"
    assert list(held.entries) == ENTRIES[:3]


def test_a_changed_line_is_named_and_the_others_read(path):
    lines = lines_of(WHOLE)
    lines[4] = lines[4].replace(b'"scoop":1', b'"scoop":2')
    lines[7] = b"rubbish\n"
    held = parse(path, b"".join(lines))
    assert [one.n for one in held.entries] == [one.n for one in ENTRIES if one.n not in (4, 7)]
    assert held.condition == "damaged"
    assert named(held) == [(5, "the line was changed: its sum does not match"), (8, "the line has no sum at its end")]


def test_a_changed_last_line_is_damage(path):
    held = parse(path, WHOLE.replace(b'"kind":"closed"', b'"kind":"clozed"'))
    assert held.condition == "damaged"
    assert [bad.line for bad in held.bad_lines] == [len(ENTRIES) + 1]


def test_missing_lines_are_named_where_they_should_stand(path):
    lines = lines_of(WHOLE)
    held = parse(path, b"".join(lines[:3] + lines[5:]))
    assert named(held) == [(4, "entries 3 to 4 are missing before this line")]
    held = parse(path, b"".join(lines[:3] + lines[4:]))
    assert named(held) == [(4, "entry 3 is missing before this line")]
    assert len(held.entries) == len(ENTRIES) - 1


def test_two_lines_run_together_are_named_and_so_is_the_one_that_went_with_it(path):
    lines = lines_of(WHOLE)
    held = parse(path, b"".join([*lines[:4], lines[4].rstrip() + lines[5], *lines[6:]]))
    assert [bad.line for bad in held.bad_lines] == [5, 6]
    assert named(held)[1][1] == "entries 4 to 5 are missing before this line"


def test_a_line_that_stands_twice_is_named(path):
    lines = lines_of(WHOLE)
    held = parse(path, b"".join(lines[:4] + lines[3:]))
    assert named(held) == [(5, "entry 3 stands after entry 3")]
    assert list(held.entries) == ENTRIES


def test_damage_and_a_torn_tail_together_are_damage(path):
    held = parse(path, WHOLE.replace(b"laptop", b"laptoq", 1)[:-5])
    assert held.condition == "damaged"
    assert [bad.line for bad in held.bad_lines] == [2]


def test_a_changed_first_line_is_named_and_what_it_says_kept(path):
    held = parse(path, WHOLE.replace(b'"Test"', b'"Tast"'))
    assert held.condition == "damaged"
    assert named(held) == [(1, "the line was changed: what it says of the plan may be wrong")]
    assert held.header.plan == {"title": "Tast"}
    assert list(held.entries) == ENTRIES


@pytest.mark.parametrize("first", [b"rubbish\n", b"\n", WHOLE[:20] + b"\n", b"\xff\x00\n"])
def test_entries_are_read_below_a_first_line_that_is_lost(path, first):
    held = parse(path, first + b"".join(lines_of(WHOLE)[1:]))
    assert list(held.entries) == ENTRIES
    assert [bad.line for bad in held.bad_lines] == [1]
    assert (held.header.plan, held.header.created) == ({}, BEGAN)


def test_a_version_is_believed_only_when_the_sum_holds(path):
    newer = file_bytes(ENTRIES, version=VERSION + 1)
    with pytest.raises(
        SessionFileError,
        match=rf"^shoot.setlog was written by a newer studiotimer \(file version {VERSION + 1}, this one reads up to "
        rf"{VERSION}\); open it "
        "with that version$",
    ):
        parse(path, newer)
    flipped = WHOLE.replace(b'"version":%d' % VERSION, b'"version":9')
    assert parse(path, flipped).header.version == VERSION


@pytest.mark.parametrize("version", range(1, VERSION + 1))
def test_a_file_of_every_version_opens_and_goes_on(path, version):
    """Each was kept as a program of its time wrote it."""
    shutil.copy(Path(__file__).parent / "formats" / f"version_{version}.setlog", path)
    kept = path.read_bytes()
    held = read(path)
    assert (held.condition, held.bad_lines, held.header.version) == ("whole", (), version)
    plan = Plan.from_snapshot(held.header.plan)
    state = Ledger.of(list(held.entries)).state
    assert (len(state.contradictions), len(state.scoops), plan.title) == (0, 13, "Three in a coupe")
    assert Forecaster(plan).forecast(state, state.last_time).climate.room_c == 24.5
    session = open_session(path)
    assert session.call("note", {"text": "gone on with"}).refused is None
    session.close()
    again = read(path)
    assert path.read_bytes().startswith(kept)
    assert (again.condition, again.header) == ("whole", held.header)
    assert "gone on with" in [getattr(one, "text", "") for one in again.entries]


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "shoot.setlog is not a studiotimer session (its first line does not say so)"),
        (b"hello\nworld\n", "shoot.setlog is not a studiotimer session (its first line does not say so)"),
        (b"\x89PNG\r\n\x1a\n" * 50, "shoot.setlog is not a studiotimer session (its first line does not say so)"),
        (header_line()[:40], "shoot.setlog holds nothing but a damaged first line; there is nothing to open"),
        (summed({"format": "other"}), "shoot.setlog: its first line is not a session's: format: “other” is not known"),
        (
            header_line(version=0),
            "shoot.setlog: its first line is not a session's: version: 0 is not possible; give at least 1",
        ),
        (
            header_line(created="soon"),
            "shoot.setlog: its first line is not a session's: created: “soon” is not possible; give a time like 2026-06-14T10:32:05Z",
        ),
        (
            header_line(plan=[]),
            "shoot.setlog: its first line is not a session's: plan: this is not possible; give an object",
        ),
    ],
)
def test_what_is_not_a_session_is_told_in_a_sentence(path, data, sentence):
    path.write_bytes(data)
    with pytest.raises(SessionFileError) as refused:
        read(path)
    assert str(refused.value).startswith(sentence)


def test_a_line_too_long_to_be_an_entry_is_named(path):
    long = b'{"n":3' + b" " * LONGEST_LINE + b"}\n"
    held = parse(path, file_bytes(ENTRIES[:2]) + long)
    assert named(held) == [(4, f"the line is {len(long) - 1} bytes long; no entry is that long")]


def test_a_line_as_long_as_an_entry_may_be_is_read(path):
    """4 MiB, its end not counted; a byte more is too long."""

    def long(size):
        body = checked_body(to_line(ENTRIES[0])[:-1])[:-1]
        body += b" " * (size - len(to_line(ENTRIES[0])[:-1]))
        return body + b',"sum":"%08x"}\n' % zlib.crc32(body)

    assert parse(path, header_line() + long(4 << 20)).entries == (ENTRIES[0],)
    held = parse(path, header_line() + long((4 << 20) + 1))
    assert named(held) == [(2, "the line is 4194305 bytes long; no entry is that long")]


def test_reading_stops_after_ten_thousand_bad_lines(path):
    held = parse(path, header_line() + b"x\n" * 10_000)
    assert (len(held.bad_lines), held.bad_lines[-1].line) == (10_000, 10_001)
    more = parse(path, header_line() + b"x\n" * 10_001 + to_line(entry(1, "note", text="x")))
    assert named(more)[10_000:] == [(10_002, "there is too much before it; reading stopped here")]
    assert (more.entries, more.condition) == ((), "damaged")
    assert more.good_bytes == len(header_line()) + 20_000


def test_reading_stops_after_as_many_entries_as_there_may_be(path, monkeypatch):
    monkeypatch.setattr(reading, "MOST_ENTRIES", 3)
    exactly = parse(path, file_bytes(ENTRIES[:3]))
    assert (len(exactly.entries), exactly.condition) == (3, "whole")
    more = parse(path, file_bytes(ENTRIES[:5]))
    assert list(more.entries) == ENTRIES[:3]
    assert named(more) == [(5, "there is too much before it; reading stopped here")]


def test_only_bad_lines_right_before_a_gap_explain_it(path):
    """Two lost lines in a row are two missing entries, said once; a lost line farther up explains nothing later."""
    lines = lines_of(WHOLE)
    held = parse(path, b"".join([*lines[:3], b"x\n", b"x\n", *lines[5:]]))
    assert [bad.line for bad in held.bad_lines] == [4, 5]
    held = parse(path, b"".join([*lines[:3], b"x\n", lines[4], *lines[6:]]))
    assert named(held)[1:] == [(6, "entry 5 is missing before this line")]
    held = parse(path, b"".join([*lines[:2], b"x\n", lines[3], b"x\n", *lines[6:]]))
    assert named(held)[2:] == [(6, "entries 4 to 5 are missing before this line")]


def test_a_session_is_called_by_its_plan_s_title_or_its_file(path):
    assert title_of(path) == "shoot"
    path.write_bytes(file_bytes(ENTRIES))
    assert title_of(path) == "shoot"
    path.write_bytes(WHOLE)
    assert title_of(path) == "Test"


def test_a_session_whose_first_line_is_lost_has_the_same_name_each_time(path):
    data = b"rubbish\n" + b"".join(lines_of(WHOLE)[1:])
    assert parse(path, data).header.session == parse(path, data).header.session
    assert parse(path.with_name("other.setlog"), data).header.session != parse(path, data).header.session


def test_files_that_are_no_files(tmp_path):
    with pytest.raises(SessionFileError, match=r"^gone.setlog: there is no such file$"):
        read(tmp_path / "gone.setlog")
    with pytest.raises(SessionFileError, match="is a folder, not a session file"):
        read(tmp_path)
    (tmp_path / "file").write_text("x")
    with pytest.raises(SessionFileError, match="cannot be read: Not a directory"):
        read(tmp_path / "file" / "x.setlog")
    with pytest.raises(SessionFileError, match="cannot be read: embedded null byte"):
        read(tmp_path / "a\0b")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes with names")
def test_a_pipe_is_refused_rather_than_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe.setlog")
    with pytest.raises(SessionFileError, match=r"pipe.setlog is not a file; choose a session file"):
        read(tmp_path / "pipe.setlog")
    with pytest.raises(SessionFileError, match="is not a file"):
        read_header(tmp_path / "pipe.setlog")


def test_a_file_too_large_to_be_a_session_is_not_read(path):
    with path.open("wb") as file:
        file.truncate(LARGEST_FILE + 1)
    with pytest.raises(SessionFileError, match="is 64 MiB large; no session is that large"):
        read(path)
    with path.open("wb") as file:
        file.truncate(64 << 20)
    with pytest.raises(SessionFileError, match="is not a studiotimer session"):
        read(path)


def test_fields_a_newer_minor_writer_puts_in_the_header_do_no_harm(path):
    held = parse(path, header_line(studio="north") + to_line(entry(1, "note", text="x")))
    assert held.condition == "whole"


def test_the_first_line_alone(path):
    path.write_bytes(WHOLE)
    assert read_header(path) == read(path).header
    path.write_bytes(WHOLE.replace(b'"Test"', b'"Tast"'))
    assert read_header(path).plan == {"title": "Tast"}
    path.write_bytes(header_line(version=7))
    with pytest.raises(SessionFileError, match="newer studiotimer"):
        read_header(path)
    path.write_bytes(b"hello\n")
    with pytest.raises(SessionFileError, match="is not a studiotimer session"):
        read_header(path)
