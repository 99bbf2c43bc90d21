"""The session file for writing: only appended to, on disk before it is said to be, put back if it goes away."""

import errno
import logging
import os
import shutil
from types import SimpleNamespace

import pytest

from studiotimer import hops
from studiotimer.session import journal as files
from studiotimer.session.first_lines import VERSION, SessionFileError
from studiotimer.session.journal import (
    BusyError,
    DamagedError,
    ForeignError,
    copy_readable,
    create,
    open_for_writing,
    write_all,
    written_at,
)
from studiotimer.session.lines import to_line
from studiotimer.session.reading import read
from tests.session.folders import names_in
from tests.session.shoots import BEGAN, entry, file_bytes, header_line, small_shoot

ENTRIES = small_shoot()
FULL = OSError(errno.ENOSPC, "No space left on device")


@pytest.fixture
def path(tmp_path):
    return tmp_path / "shoot.setlog"


@pytest.fixture
def journal(path):
    journal, _ = create(path, {"title": "Test"}, BEGAN)
    yield journal
    journal.close()


def failing(*_):
    raise FULL


class TestCreate:
    def test_the_first_line_says_what_the_file_is(self, path):
        journal, header = create(path, {"title": "Test"}, BEGAN)
        journal.append(ENTRIES)
        journal.close()
        held = read(path)
        assert (held.header, held.condition) == (header, "whole")
        assert (header.plan, header.created, header.version) == ({"title": "Test"}, BEGAN, VERSION)
        assert list(held.entries) == ENTRIES
        assert names_in(path.parent) == ["shoot.setlog"]

    def test_the_folder_is_made(self, tmp_path):
        journal, _ = create(tmp_path / "a" / "b" / "shoot.setlog", {}, BEGAN)
        journal.close()
        assert read(tmp_path / "a" / "b" / "shoot.setlog").condition == "whole"

    def test_each_session_has_its_own_id_unless_it_is_told(self, tmp_path):
        made = [create(tmp_path / f"{n}.setlog", {}, BEGAN, session) for n, session in enumerate([None, None, "mine"])]
        ids = [header.session for _, header in made]
        assert len(set(ids)) == 3
        assert ids[2] == "mine"
        for journal, _ in made:
            journal.close()

    def test_a_file_that_exists_is_left_alone(self, path):
        path.write_bytes(b"something else")
        with pytest.raises(SessionFileError, match=r"^shoot.setlog exists already; choose another name$"):
            create(path, {}, BEGAN)
        assert path.read_bytes() == b"something else"
        assert names_in(path.parent) == ["shoot.setlog"]

    def test_on_a_full_disk_nothing_is_left(self, path, monkeypatch):
        monkeypatch.setattr(files.os, "fsync", failing)
        with pytest.raises(SessionFileError, match=r"shoot.setlog cannot be made in .*: No space left on device"):
            create(path, {}, BEGAN)
        assert names_in(path.parent) == []

    def test_in_a_place_that_is_no_folder(self, tmp_path):
        (tmp_path / "file").write_text("x")
        with pytest.raises(SessionFileError, match=r"^shoot.setlog cannot be made in .*file: that is not a folder$"):
            create(tmp_path / "file" / "shoot.setlog", {}, BEGAN)

    @pytest.mark.usefixtures("journal")
    def test_being_made_by_another_program(self, path):
        path.unlink()
        with pytest.raises(BusyError, match="is being written by process"):
            create(path, {}, BEGAN)


def test_a_session_written_elsewhere_is_whole_and_says_up_to_which_entry(path, tmp_path):
    journal, header = create(path, {"title": "Test"}, BEGAN)
    journal.close()
    other = tmp_path / "other" / "shoot.setlog"
    written = written_at(other, header, ENTRIES)
    written.journal.close()
    assert written.number == ENTRIES[-1].n
    assert written.header == header == read(other).header
    assert list(read(other).entries) == ENTRIES


class TestAppend:
    def test_each_batch_is_on_disk_when_it_returns(self, path, journal):
        for place in range(0, len(ENTRIES), 5):
            journal.append(ENTRIES[place : place + 5])
            assert list(read(path).entries) == ENTRIES[: place + 5]

    def test_the_disk_is_asked_for_every_batch(self, journal, monkeypatch):
        asked = []
        fsync = os.fsync
        monkeypatch.setattr(files.os, "fsync", lambda handle: asked.append(fsync(handle)))
        journal.append(ENTRIES[:5])
        assert len(asked) == 1

    def test_refused_the_file_ends_where_it_did_and_the_call_is_made_again(self, path, journal, monkeypatch):
        journal.append(ENTRIES[:2])
        before = path.read_bytes()
        monkeypatch.setattr(files.os, "fsync", failing)
        for _ in range(2):
            with pytest.raises(OSError, match="No space"):
                journal.append(ENTRIES[2:4])
            assert path.read_bytes() == before
        monkeypatch.undo()
        journal.append(ENTRIES[2:6])
        assert list(read(path).entries) == ENTRIES[:6]

    @pytest.mark.fault("a batch that is written by half")
    @pytest.mark.parametrize("written", [1, 300, None])
    def test_a_half_written_batch_is_written_over(self, path, journal, monkeypatch, written):
        """By half, by one byte, or whole but not known to be on disk."""
        write = files.write_bytes

        def half(file, data):
            write(file, data[:written])
            raise FULL

        monkeypatch.setattr(files, "write_bytes", half)
        monkeypatch.setattr(files.os, "ftruncate", failing)
        with pytest.raises(OSError, match="No space"):
            journal.append(ENTRIES[:4])
        monkeypatch.undo()
        assert read(path).condition == ("torn" if written else "whole")
        journal.append(ENTRIES[:4])
        assert list(read(path).entries) == ENTRIES[:4]
        assert read(path).condition == "whole"

    @pytest.mark.fault("writes that are cut short")
    def test_short_writes_are_finished(self, path, journal, monkeypatch):
        class Slow:
            def __init__(self, file):
                self.file = file

            def write(self, data):
                return self.file.write(data[:7])

        write = files.write_bytes
        monkeypatch.setattr(files, "write_bytes", lambda file, data: write(Slow(file), data))
        journal.append(ENTRIES)
        assert list(read(path).entries) == ENTRIES


def test_each_write_is_noted_with_its_bytes_and_milliseconds(journal, monkeypatch, caplog):
    ticks = iter([10.0, 10.2, 10.55])
    monkeypatch.setattr(files, "time", SimpleNamespace(perf_counter=lambda: next(ticks)))
    for log in hops.LOGS.values():
        monkeypatch.setattr(log, "disabled", False)
        monkeypatch.setattr(log, "handlers", [caplog.handler])
        monkeypatch.setattr(log, "level", logging.INFO)
    journal.append(ENTRIES[:2])
    noted = [line.split(" ", 1)[1] for line in caplog.messages]
    size = sum(len(to_line(one)) for one in ENTRIES[:2])
    assert noted == [
        *(f"calls entry {number} {hop}" for hop in ("written", "synced") for number in (1, 2)),
        f"disk {size} bytes to entry 2 written in 200.00 ms, synced in 350.00 ms",
    ]


@pytest.fixture
def noted(monkeypatch, caplog):
    """What is noted of the disk, by line."""
    monkeypatch.setattr(hops.LOGS["disk"], "disabled", False)
    monkeypatch.setattr(hops.LOGS["disk"], "handlers", [caplog.handler])
    monkeypatch.setattr(hops.LOGS["disk"], "level", logging.INFO)
    return lambda: [line.split(" ", 2)[2] for line in caplog.messages]


def test_a_lock_that_holds_nothing_is_noted_as_such(path, noted, monkeypatch):
    create(path, {}, BEGAN)[0].close()
    assert noted()[0] == "shoot.setlog: lock taken"
    take = files.take_lock
    monkeypatch.setattr(files, "take_lock", lambda where: SimpleNamespace(sure=False, release=take(where).release))
    create(path.with_name("other.setlog"), {}, BEGAN)[0].close()
    assert "other.setlog: lock taken, in a folder that cannot hold one" in noted()


@pytest.mark.parametrize("kept", [0, 3, 40])
def test_a_file_that_was_changed_in_its_last_bytes_is_left_alone_from_the_first_write_on(path, kept):
    """Its length the same: by what is kept of its end from when it was opened."""
    path.write_bytes(file_bytes([entry(n, "note", n, text="x" * 100) for n in range(1, kept + 1)]))
    journal, _, _ = open_for_writing(path)
    changed = path.read_bytes()[:-9] + b"0000000" + b'"}'
    path.write_bytes(changed[:-1] + b"\n")
    left = path.read_bytes()
    with pytest.raises(ForeignError, match="changed by another program"):
        journal.append([entry(kept + 1, "note", 99, text="y")])
    journal.close()
    assert path.read_bytes() == left


@pytest.mark.parametrize("batches", [1, 30])
def test_a_file_that_was_changed_in_its_last_bytes_is_left_alone_after_a_write_too(path, journal, batches):
    for batch in range(1, batches + 1):
        journal.append([entry(batch, "note", batch, text="x" * 200)])
    left = path.read_bytes()[:-30].replace(b"xx", b"yx") + path.read_bytes()[-30:]
    path.write_bytes(left)
    with pytest.raises(ForeignError, match="changed by another program"):
        journal.append([entry(batches + 1, "note", 99, text="y")])
    assert path.read_bytes() == left


class TestAFileThatGoesAway:
    @pytest.mark.fault("the session file removed while it is written")
    def test_removed_it_is_not_said_to_be_on_disk_and_is_put_back_whole(self, path, journal):
        journal.append(ENTRIES[:3])
        path.unlink()
        with pytest.raises(FileNotFoundError, match="the session file was moved or removed"):
            journal.append(ENTRIES[3:4])
        journal.append(ENTRIES[3:6])
        assert list(read(path).entries) == ENTRIES[:6]
        assert read(path).header.plan == {"title": "Test"}

    def test_with_its_folder_removed_it_waits_until_the_folder_is_back(self, tmp_path):
        path = tmp_path / "folder" / "shoot.setlog"
        journal, _ = create(path, {}, BEGAN)
        journal.append(ENTRIES[:3])
        shutil.rmtree(path.parent)
        for _ in range(2):
            with pytest.raises(FileNotFoundError):
                journal.append(ENTRIES[3:5])
        assert not path.parent.exists()
        path.parent.mkdir()
        journal.append(ENTRIES[3:5])
        assert list(read(path).entries) == ENTRIES[:5]
        with pytest.raises(BusyError):
            open_for_writing(path)
        journal.close()
        assert names_in(path.parent) == ["shoot.setlog"]

    @pytest.mark.fault("the session file moved away and back")
    def test_moved_away_and_back_it_goes_on(self, path, journal):
        journal.append(ENTRIES[:3])
        moved = path.rename(path.with_name("elsewhere"))
        with pytest.raises(FileNotFoundError):
            journal.append(ENTRIES[3:4])
        moved.rename(path)
        journal.append(ENTRIES[3:4])
        assert list(read(path).entries) == ENTRIES[:4]

    def test_the_same_session_under_the_name_is_gone_on_with(self, path, journal):
        """As when a disk is taken out and put in again: another file to the system, the same to us."""
        journal.append(ENTRIES[:3])
        copy = path.read_bytes()
        path.unlink()
        with pytest.raises(FileNotFoundError):
            journal.append(ENTRIES[3:4])
        path.write_bytes(copy + b'{"half a line')
        journal.append(ENTRIES[3:4])
        assert list(read(path).entries) == ENTRIES[:4]
        assert read(path).condition == "whole"

    @pytest.mark.parametrize("other", [b"", b"quite another file, and longer " * 99])
    def test_another_file_under_the_name_is_left_alone(self, path, journal, other):
        journal.append(ENTRIES[:3])
        path.unlink()
        path.write_bytes(other)
        foreign = "another file stands in the place of the session file"
        for sentence in ("moved or removed", foreign, foreign):
            with pytest.raises(OSError, match=sentence):
                journal.append(ENTRIES[3:4])
        assert path.read_bytes() == other

    @pytest.mark.fault("the session taken over by another program")
    def test_taken_over_by_another_program_it_is_left_to_it(self, path, journal):
        journal.append(ENTRIES[:3])
        copy = path.read_bytes()
        path.unlink()
        files.lock_path(path).unlink()
        path.write_bytes(copy)
        theirs, _, _ = open_for_writing(path)
        for sentence in ("moved or removed", r"the session file is written by process \d+"):
            with pytest.raises(OSError, match=sentence):
                journal.append(ENTRIES[3:4])
        theirs.append([entry(4, "note", text="theirs")])
        theirs.close()
        assert read(path).entries[-1].text == "theirs"

    @pytest.mark.fault("a disk pulled out, its folder still there")
    def test_a_disk_that_is_away_is_not_written_beside(self, path, journal, monkeypatch):
        journal.append(ENTRIES[:3])
        path.unlink()
        with pytest.raises(FileNotFoundError):
            journal.append(ENTRIES[3:4])
        fstat = os.fstat

        def elsewhere(handle):
            real = fstat(handle)
            return os.stat_result((real.st_mode, real.st_ino, real.st_dev + 1, *real[3:]))

        monkeypatch.setattr(files.os, "fstat", elsewhere)
        with pytest.raises(FileNotFoundError, match="the disk of the session file is away"):
            journal.append(ENTRIES[3:4])
        assert not path.exists()

    def test_where_names_tell_nothing_the_file_is_trusted(self, path, monkeypatch):
        monkeypatch.setattr(files, "_is", lambda *_: False)
        journal, _ = create(path, {}, BEGAN)
        monkeypatch.setattr(files.os, "fsync", failing)
        with pytest.raises(OSError, match="No space"):
            journal.append(ENTRIES[:2])
        monkeypatch.setattr(files.os, "fsync", lambda *_: None)
        journal.append(ENTRIES[:2])
        journal.close()
        assert list(read(path).entries) == ENTRIES[:2]


DAMAGED = header_line() + b"x\n" + to_line(ENTRIES[0])


class TestOpening:
    def test_it_goes_on_where_it_ended(self, path):
        path.write_bytes(file_bytes(ENTRIES[:5]))
        journal, held, aside = open_for_writing(path)
        journal.append(ENTRIES[5:8])
        journal.close()
        assert (list(held.entries), aside) == (ENTRIES[:5], None)
        assert list(read(path).entries) == ENTRIES[:8]

    @pytest.mark.parametrize("kept", [0, 5])
    def test_a_missing_line_end_is_added(self, path, kept):
        path.write_bytes(file_bytes(ENTRIES[:kept])[:-1])
        journal, held, aside = open_for_writing(path)
        journal.append(ENTRIES[kept:8])
        journal.close()
        assert (list(held.entries), aside) == (ENTRIES[:kept], None)
        assert list(read(path).entries) == ENTRIES[:8]

    def test_torn_tails_are_set_aside_each_in_its_own_file(self, path):
        path.write_bytes(file_bytes(ENTRIES[:5]))
        for tail in (b'{"n":6,"run"', b"\x00" * 300):
            with path.open("ab") as file:
                file.write(tail)
            journal, held, aside = open_for_writing(path)
            journal.close()
            assert aside.read_bytes() == tail
            assert list(held.entries) == ENTRIES[:5]
        assert names_in(path.parent) == ["shoot.setlog", "shoot.setlog.torn-1", "shoot.setlog.torn-2"]
        assert path.read_bytes() == file_bytes(ENTRIES[:5])

    def test_a_tail_that_cannot_be_set_aside_stays_where_it_is(self, path, monkeypatch):
        torn = file_bytes(ENTRIES[:5]) + b'{"n":6'
        path.write_bytes(torn)
        monkeypatch.setattr(files.os, "fsync", failing)
        with pytest.raises(SessionFileError, match="has a torn last line that cannot be set aside: No space left"):
            open_for_writing(path)
        monkeypatch.undo()
        assert path.read_bytes() == torn
        assert names_in(path.parent) == ["shoot.setlog"]

    def test_damage_names_its_lines_and_leaves_no_lock(self, path):
        lines = file_bytes(ENTRIES).splitlines(keepends=True)
        path.write_bytes(b"".join(line if number % 2 else b"x\n" for number, line in enumerate(lines, 1)))
        with pytest.raises(
            DamagedError, match=r"^shoot.setlog is damaged at line 2, 4, 6, 8, 10 and more; it opens read-"
        ):
            open_for_writing(path)
        assert names_in(path.parent) == ["shoot.setlog"]

    @pytest.mark.parametrize(("count", "said"), [(5, "2, 4, 6, 8, 10;"), (6, "2, 4, 6, 8, 10 and more;")])
    def test_five_damaged_lines_are_named_all_and_of_six_it_is_said_that_there_are_more(self, path, count, said):
        lines = file_bytes(ENTRIES).splitlines(keepends=True)
        for number in range(1, 2 * count, 2):
            lines[number] = b"x\n"
        path.write_bytes(b"".join(lines))
        with pytest.raises(DamagedError, match=rf"^shoot.setlog is damaged at line {said} it opens read-only"):
            open_for_writing(path)

    def test_a_file_that_is_damaged_while_it_is_opened(self, path, monkeypatch):
        path.write_bytes(file_bytes(ENTRIES))
        held = files._held

        def held_late(path):
            path.write_bytes(DAMAGED)
            return held(path)

        monkeypatch.setattr(files, "_held", held_late)
        with pytest.raises(DamagedError):
            open_for_writing(path)
        assert names_in(path.parent) == ["shoot.setlog"]

    def test_what_is_no_session_is_refused_before_a_lock_is_made(self, path):
        path.write_bytes(b"hello\n")
        with pytest.raises(SessionFileError, match="is not a studiotimer session"):
            open_for_writing(path)
        assert names_in(path.parent) == ["shoot.setlog"]

    @pytest.mark.usefixtures("journal")
    def test_two_writers(self, path):
        with pytest.raises(
            BusyError, match=r"shoot.setlog is being written by process \d+ on .*; open it with --follow"
        ):
            open_for_writing(path)


class TestACopyOfWhatIsReadable:
    def test_entries_are_numbered_afresh_and_mends_follow_them(self, path, tmp_path):
        lines = file_bytes(ENTRIES, plan={"title": "Kept"}).splitlines(keepends=True)
        path.write_bytes(b"".join([*lines[:3], b"lost\n", *lines[4:]]))
        target = copy_readable(read(path), tmp_path / "copy.setlog")
        held = read(target)
        assert held.condition == "whole"
        assert held.header.plan == {"title": "Kept"}
        assert [one.kind for one in held.entries] == [one.kind for one in ENTRIES if one.n != 3]
        amend = next(one for one in held.entries if one.kind == "amend")
        assert held.entries[amend.entry - 1].kind == "swap"

    def test_a_mend_of_a_lost_entry_is_left_out(self, path, tmp_path):
        lines = file_bytes(ENTRIES).splitlines(keepends=True)
        path.write_bytes(b"".join([*lines[:20], b"lost\n", *lines[21:]]))
        held = read(copy_readable(read(path), tmp_path / "copy.setlog"))
        assert "amend" not in [one.kind for one in held.entries]
        assert "take_back" in [one.kind for one in held.entries]

    def test_on_a_full_disk_no_half_copy_stays(self, path, tmp_path, monkeypatch):
        path.write_bytes(file_bytes(ENTRIES))
        damaged = read(path)
        monkeypatch.setattr(files.Journal, "append", failing)
        with pytest.raises(SessionFileError, match=r"^copy.setlog cannot be written: No space left on device$"):
            copy_readable(damaged, tmp_path / "copy.setlog")
        assert names_in(tmp_path) == ["shoot.setlog"]

    def test_the_damaged_file_itself_is_never_the_target(self, path):
        path.write_bytes(file_bytes(ENTRIES))
        with pytest.raises(SessionFileError, match="exists already"):
            copy_readable(read(path), path)


def test_a_file_just_made_is_taken_away_when_it_cannot_be_written(path, monkeypatch):
    journal, _ = create(path, {}, BEGAN)
    monkeypatch.setattr(files.os, "fsync", failing)
    with pytest.raises(SessionFileError, match="cannot be written"):
        write_all(journal, ENTRIES)
    assert names_in(path.parent) == []


def test_a_file_just_made_that_somebody_took_away_is_said_to_be_not_written(path):
    journal, _ = create(path, {}, BEGAN)
    path.unlink()
    with pytest.raises(SessionFileError, match="cannot be written"):
        write_all(journal, ENTRIES)
    assert names_in(path.parent) == []


class TestGoingOnBeside:
    """A file that another program changed is left as it is, and its session goes on in one beside it."""

    def test_it_has_the_same_first_line_and_all_entries_and_is_held(self, path, journal):
        journal.append(ENTRIES[:3])
        with path.open("ab") as file:
            file.write(b"theirs")
        with pytest.raises(ForeignError, match="changed by another program"):
            journal.append(ENTRIES[3:4])
        other = journal.beside(ENTRIES[:4])
        other.append(ENTRIES[4:6])
        assert other.path.name == "shoot-beside-1.setlog"
        held = read(other.path)
        assert (list(held.entries), held.header, held.condition) == (ENTRIES[:6], read(path).header, "whole")
        with pytest.raises(BusyError):
            open_for_writing(other.path)
        other.close()
        assert path.read_bytes().endswith(b"theirs")
        journal, _, _ = open_for_writing(other.path)
        again = journal.beside(ENTRIES[:6])
        again.close()
        assert again.path.name == "shoot-beside-2.setlog"
        held = read(again.path)
        assert (list(held.entries), held.header, held.condition) == (ENTRIES[:6], read(path).header, "whole")
        assert names_in(path.parent) == ["shoot-beside-1.setlog", "shoot-beside-2.setlog", "shoot.setlog"]

    def test_where_it_cannot_be_made_nothing_is_left_of_it(self, path, journal, monkeypatch):
        monkeypatch.setattr(files.os, "fsync", failing)
        with pytest.raises(OSError, match="No space"):
            journal.beside(ENTRIES)
        monkeypatch.undo()
        assert names_in(path.parent) == ["shoot.setlog", "shoot.setlog.lock"]
        journal.append(ENTRIES[:1])

    def test_a_file_beside_that_another_program_is_making_is_not_taken(self, path, journal):
        taken = files.take_lock(files.lock_path(path.with_name("shoot-beside-1.setlog")))
        with pytest.raises(BlockingIOError, match=r"shoot-beside-1.setlog is written by process"):
            journal.beside(ENTRIES)
        taken.release()
