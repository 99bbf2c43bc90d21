"""Small files kept between sessions: whole or set aside, whatever they hold."""

import json
import os

import pytest

from studiotimer.session import small_files


def numbers(values):
    if not isinstance(values, list):
        raise ValueError("it is no list")
    return tuple(values)


def load(path):
    return small_files.load(path, numbers, (0,), "the numbers")


def test_a_file_never_written_is_no_trouble(tmp_path):
    assert load(tmp_path / "numbers.json") == ((0,), None)


def test_what_is_saved_is_loaded(tmp_path):
    path = tmp_path / "new" / "numbers.json"
    assert small_files.save(path, [1, 2]) is None
    assert load(path) == ((1, 2), None)


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "its text is broken"),
        (b"[1, 2", "its text is broken"),
        (b"[" * 100_000, "its text is broken"),
        (b"{}", "it is no list"),
        (b"\xff\xfe[1]", "it is no text of the program's"),
        (b" " * (small_files.LARGEST_BYTES + 1), "it is no text of the program's"),
    ],
)
def test_a_damaged_file_is_set_aside_and_said(tmp_path, data, why):
    path = tmp_path / "numbers.json"
    path.write_bytes(data)
    found, words = load(path)
    assert found == (0,)
    assert words == (
        f"The numbers in numbers.json cannot be used ({why}); "
        "it was set aside as numbers.damaged.json, the usual ones hold."
    )
    assert not path.exists()
    assert (tmp_path / "numbers.damaged.json").read_bytes() == data
    assert load(path) == ((0,), None)


def test_a_second_damaged_file_does_not_overwrite_the_first(tmp_path):
    for data in (b"one", b"two"):
        (tmp_path / "numbers.json").write_bytes(data)
        load(tmp_path / "numbers.json")
    assert (tmp_path / "numbers.damaged.json").read_bytes() == b"one"
    assert (tmp_path / "numbers.damaged-2.json").read_bytes() == b"two"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no such pipes")
def test_a_pipe_is_never_waited_for(tmp_path):
    os.mkfifo(tmp_path / "numbers.json")
    found, words = load(tmp_path / "numbers.json")
    assert found == (0,)
    assert words is not None


def test_a_file_that_may_not_be_read_stays_where_it_is(tmp_path, monkeypatch):
    path = tmp_path / "numbers.json"
    path.write_text("[1]")

    def refused(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(path), "read_text", refused)
    found, words = load(path)
    assert found == (0,)
    assert words == "The numbers in numbers.json cannot be read (Permission denied); the usual ones hold."
    assert path.exists()


def test_a_disk_that_refuses_is_said_and_leaves_the_old_file(tmp_path, monkeypatch):
    path = tmp_path / "numbers.json"
    small_files.save(path, [1])

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    words = small_files.save(path, [2])
    assert words == "numbers.json cannot be kept (No space left on device); the change holds until the program ends."
    assert json.loads(path.read_text()) == [1]
    assert [one.name for one in tmp_path.iterdir()] == ["numbers.json"]
