"""Selects are a set in which one name changes, whatever card is shown and whatever the names are."""

import threading

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studiotimer.wrap import frames
from studiotimer.wrap.cells import as_written, harmless
from studiotimer.wrap.frames import FramesError, gather, gather_all
from studiotimer.wrap.marks import Marks, kept, list_of
from tests.wrap.shoots import picture

ODD = ["=1+1.jpg", "-5.jpg", "+a.jpg", "@me.jpg", "'=a.jpg", "' =a.jpg", "a'b.jpg", "'a.jpg", "a, b.jpg", 'a"b.jpg']


@pytest.fixture
def path(tmp_path):
    return tmp_path / "day.setlog"


def turned(path, name, select, frames):
    marks = Marks(path)
    marks.turn(name, select, frames)
    marks.store()


def test_marking_on_a_second_card_leaves_the_first_cards_marks(path):
    turned(path, "A_0001.jpg", True, ["A_0001.jpg", "A_0002.jpg"])
    turned(path, "B_0001.jpg", True, ["B_0001.jpg"])
    assert kept(path) == ["A_0001.jpg", "B_0001.jpg"]
    turned(path, "B_0001.jpg", False, ["B_0001.jpg"])
    assert kept(path) == ["A_0001.jpg"]


def test_names_that_begin_like_a_formula_come_back_as_they_were(path):
    for name in ODD:
        turned(path, name, True, ODD)
    assert kept(path) == ODD
    for name in ODD[1:]:
        turned(path, name, False, ODD)
    assert kept(path) == ODD[:1]


@given(st.text(st.sampled_from("=+-@' ab\t"), max_size=6))
def test_every_cell_comes_back(text):
    assert as_written(harmless(text)) == text


def test_what_another_program_added_meanwhile_stays(path):
    marks = Marks(path)
    marks.turn("a.jpg", True, ["a.jpg"])
    list_of(path).write_text("frame\r\nz.jpg\r\n")
    marks.store()
    marks.turn("b.jpg", True, ["a.jpg", "b.jpg"])
    assert marks.names() == ["z.jpg", "a.jpg", "b.jpg"]
    marks.store()
    assert kept(path) == ["z.jpg", "a.jpg", "b.jpg"]


def test_a_list_that_cannot_be_read_is_not_written_over(path, monkeypatch):
    list_of(path).write_text("frame\r\nz.jpg\r\n")
    before = list_of(path).read_bytes()
    marks = Marks(path)
    marks.turn("a.jpg", True, ["a.jpg"])

    def broken(*_):
        raise OSError(5, "Input/output error")

    with monkeypatch.context() as patched:
        patched.setattr(frames, "small_bytes", broken)
        with pytest.raises(FramesError, match="cannot be read"):
            marks.store()
    assert list_of(path).read_bytes() == before
    assert marks.waiting
    marks.store()
    assert kept(path) == ["z.jpg", "a.jpg"]


def test_a_disk_that_refuses_keeps_the_marks_for_the_next_time(path, monkeypatch):
    marks = Marks(path)
    marks.turn("a.jpg", True, ["a.jpg"])
    with monkeypatch.context() as patched:
        patched.setattr("studiotimer.wrap.marks.write_whole", lambda *_: (_ for _ in ()).throw(OSError(28, "No space")))
        with pytest.raises(OSError, match="No space"):
            marks.store()
    marks.turn("b.jpg", True, ["a.jpg", "b.jpg"])
    marks.store()
    assert kept(path) == ["a.jpg", "b.jpg"]


def test_a_name_that_stands_for_several_frames_goes_on_for_the_others(path):
    list_of(path).write_text("frame\r\na\r\nother.jpg\r\n")
    turned(path, "day 1/a.jpg", False, ["day 1/a.jpg", "day 2/a.jpg"])
    assert sorted(kept(path)) == ["day 2/a.jpg", "other.jpg"]


def test_many_threads_lose_none(path):
    marks = Marks(path)
    names = [f"{number}.jpg" for number in range(60)]

    def mark(name):
        marks.turn(name, True, names)
        marks.store()

    threads = [threading.Thread(target=mark, args=(name,)) for name in names]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert sorted(kept(path)) == sorted(names)
    assert not marks.waiting


def test_frames_of_two_cards_are_together_each_under_a_name_of_its_own(tmp_path):
    for card in ("card 1", "card 2"):
        picture(tmp_path / card / "A_0001.jpg", "2026:06:14 12:02:00")
    picture(tmp_path / "card 2" / "A_0002.jpg", "2026:06:14 12:02:00")
    first, second = tmp_path / "card 1", tmp_path / "card 2"
    assert [one.name for one in gather_all([first, second]).frames] == ["A_0001.jpg", "card 2/A_0001.jpg", "A_0002.jpg"]
    assert len(gather_all([first, tmp_path]).frames) == 3
    assert [one.name for one in gather_all([first]).frames] == [one.name for one in gather(first).frames]
