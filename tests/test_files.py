"""Files: whole or not at all, on disk with their names, and with the modes that were asked for."""

import errno
import os
import stat
import sys
import threading
from pathlib import Path

import pytest

from studiotimer import files
from studiotimer.files import (
    again,
    flush_folder,
    free_path,
    make_folder,
    new_file,
    remove,
    rename,
    write_all,
    write_whole,
)
from studiotimer.places import file_name
from tests.session.folders import names_in


@pytest.fixture
def flushed(monkeypatch):
    """What was flushed, in order: the names of files and folders."""
    if sys.platform != "linux":
        pytest.skip("needs /proc, to tell which file was flushed")
    done, fsync = [], os.fsync

    def heard(handle):
        fsync(handle)
        done.append(Path(f"/proc/self/fd/{handle}").readlink().name)

    monkeypatch.setattr(os, "fsync", heard)
    return done


def refuses(number, folders_only=False):
    fsync = os.fsync

    def refuse(handle):
        if folders_only and not stat.S_ISDIR(os.fstat(handle).st_mode):
            return fsync(handle)
        raise OSError(number, os.strerror(number))

    return refuse


def test_a_file_is_flushed_then_named_then_its_folder_is_flushed(tmp_path, flushed, monkeypatch):
    replace = type(tmp_path).replace
    monkeypatch.setattr(type(tmp_path), "replace", lambda self, to: flushed.append("named") or replace(self, to))
    write_whole(tmp_path / "plan.json", b"one")
    assert flushed[0].startswith(files.BESIDE)
    assert flushed[1:] == ["named", tmp_path.name]
    assert names_in(tmp_path) == ["plan.json"]


def test_folders_that_are_made_are_flushed_each_in_the_one_above(tmp_path, flushed):
    make_folder(tmp_path / "a" / "b" / "c")
    assert flushed == [tmp_path.name, "a", "b"]
    make_folder(tmp_path / "a" / "b" / "c")
    assert len(flushed) == 3


def test_a_new_name_and_a_name_that_goes_are_flushed(tmp_path, flushed):
    new_file(tmp_path / "new", b"data").close()
    assert flushed == ["new", tmp_path.name]
    rename(tmp_path / "new", tmp_path / "old")
    remove(tmp_path / "old")
    remove(tmp_path / "never")
    assert flushed[2:] == [tmp_path.name] * 3
    assert names_in(tmp_path) == []


@pytest.mark.skipif(os.name == "nt", reason="modes are another thing on Windows")
class TestModes:
    @pytest.fixture(autouse=True)
    def mask(self):
        before = os.umask(0o027)
        yield
        os.umask(before)

    def test_a_new_file_has_what_the_mask_leaves_and_an_old_one_what_it_had(self, tmp_path):
        write_whole(tmp_path / "new", b"")
        (tmp_path / "old").write_bytes(b"")
        (tmp_path / "old").chmod(0o604)
        write_whole(tmp_path / "old", b"x", private=True)
        assert [stat.S_IMODE((tmp_path / name).stat().st_mode) for name in ("new", "old")] == [0o640, 0o604]

    def test_a_private_one_is_the_users_alone_from_the_first_byte_on(self, tmp_path, monkeypatch):
        seen = []
        write = files.write_bytes
        monkeypatch.setattr(
            files, "write_bytes", lambda file, data: seen.append(os.fstat(file.fileno()).st_mode) or write(file, data)
        )
        make_folder(tmp_path / "own", files.PRIVATE_FOLDER)
        write_whole(tmp_path / "own" / "file", b"x", private=True)
        made = [*seen, (tmp_path / "own" / "file").stat().st_mode, (tmp_path / "own").stat().st_mode]
        assert [stat.S_IMODE(mode) for mode in made] == [0o600, 0o600, 0o700]

    def test_the_mask_of_the_process_is_never_touched(self, tmp_path, monkeypatch):
        """It belongs to all threads: one that makes a file meanwhile would have it open to everybody."""
        with monkeypatch.context() as watched:
            watched.setattr(os, "umask", lambda _: pytest.fail("the mask was touched"))
            write_whole(tmp_path / "file", b"x")
            write_all(tmp_path / "folder", {"one": b"1"})


@pytest.mark.fault("the disk refuses a file that is written whole, error {number}")
@pytest.mark.parametrize("number", [errno.EIO, errno.ENOSPC, errno.EROFS])
def test_what_the_disk_refuses_leaves_the_old_file_and_nothing_beside_it(tmp_path, monkeypatch, number):
    write_whole(tmp_path / "file", b"old")
    monkeypatch.setattr(os, "fsync", refuses(number))
    with pytest.raises(OSError, match=os.strerror(number)):
        write_whole(tmp_path / "file", b"new")
    with pytest.raises(OSError, match=os.strerror(number)):
        new_file(tmp_path / "other", b"new")
    assert (tmp_path / "file").read_bytes() == b"old"
    assert names_in(tmp_path) == ["file"]


@pytest.mark.fault("a folder that the disk does not flush")
def test_a_folder_that_is_not_flushed_is_an_error_as_any(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "fsync", refuses(errno.EIO, folders_only=True))
    for deed in (
        lambda: write_whole(tmp_path / "file", b"x"),
        lambda: make_folder(tmp_path / "folder"),
        lambda: new_file(tmp_path / "new", b"x"),
    ):
        with pytest.raises(OSError, match=os.strerror(errno.EIO)):
            deed()
    assert "new" not in names_in(tmp_path)


@pytest.mark.fault("a file system that has no way to flush a folder")
def test_a_system_without_a_way_to_flush_folders_is_no_error(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "fsync", refuses(errno.EINVAL, folders_only=True))
    write_whole(tmp_path / "file", b"x")
    flush_folder(tmp_path)
    assert (tmp_path / "file").read_bytes() == b"x"


@pytest.mark.fault("a name as long as the disk allows")
def test_a_name_of_255_bytes_is_written_as_any(tmp_path):
    write_whole(tmp_path / ("é" * 127 + "x"), b"x")
    assert names_in(tmp_path) == ["é" * 127 + "x"]


def test_a_file_in_the_place_of_a_folder(tmp_path):
    (tmp_path / "file").write_bytes(b"")
    for folder in (tmp_path / "file", tmp_path / "file" / "below"):
        with pytest.raises(NotADirectoryError):
            make_folder(folder)


def test_two_threads_make_the_same_folder(tmp_path):
    wrong = []

    def make(number):
        try:
            make_folder(tmp_path / str(number) / "b" / "c")
        except OSError as error:
            wrong.append(error)

    for number in range(30):
        both = [threading.Thread(target=make, args=(number,)) for _ in range(2)]
        for one in both:
            one.start()
        for one in both:
            one.join()
    assert not wrong


def test_a_free_name_passes_over_whatever_has_one_a_link_to_nothing_too(tmp_path):
    (tmp_path / "day").write_bytes(b"")
    (tmp_path / "day-2").symlink_to(tmp_path / "nowhere")
    assert free_path(tmp_path, lambda number: f"day{again(number)}").name == "day-3"


def test_a_shoots_files_are_called_by_the_words_of_its_title():
    assert file_name("Cookie sandwich & slice, Hall 4 (Zürich)") == "cookie-sandwich-slice-hall-4-zürich"
    assert file_name(" & ") == "shoot"
