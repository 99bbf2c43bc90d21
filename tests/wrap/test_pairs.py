"""A raw file and its JPEG are one frame, under whichever name somebody calls it."""

from studiotimer.wrap.called import Called
from studiotimer.wrap.frames import gather_all
from tests.wrap.shoots import picture


def raw(path, *taken):
    beside = picture(path.with_suffix(".tmp.jpg"), *taken)
    beside.rename(path)


def names(*folders):
    return [one.name for one in gather_all(folders).frames]


def test_beside_each_other(tmp_path):
    raw(tmp_path / "A_0001.NEF", "2026:06:14 12:02:00", "25")
    picture(tmp_path / "A_0001.JPG", "2026:06:14 12:02:00", "25")
    raw(tmp_path / "A_0002.NEF", "2026:06:14 12:02:01", "25")
    assert names(tmp_path) == ["A_0001.JPG", "A_0002.NEF"]


def test_on_two_cards(tmp_path):
    raw(tmp_path / "card 1" / "A_0001.cr3", "2026:06:14 12:02:00")
    picture(tmp_path / "card 2" / "A_0001.heic.jpg", "2026:06:14 12:02:30").rename(tmp_path / "card 2" / "A_0002.jpg")
    picture(tmp_path / "card 2" / "A_0001.jpg", "2026:06:14 12:02:00")
    assert names(tmp_path / "card 1", tmp_path / "card 2") == ["A_0001.jpg", "A_0002.jpg"]


def test_of_other_times_they_are_two(tmp_path):
    raw(tmp_path / "A_0001.NEF", "2026:06:14 12:02:00")
    picture(tmp_path / "A_0001.JPG", "2026:06:14 12:09:00")
    assert names(tmp_path) == ["A_0001.JPG", "A_0001.NEF"]


def test_one_without_a_time_is_not_left_out(tmp_path):
    raw(tmp_path / "A_0001.NEF", "2026:06:14 12:02:00")
    picture(tmp_path / "A_0001.JPG")
    picture(tmp_path / "B_0001.JPG")
    found = gather_all([tmp_path])
    assert [one.name for one in found.frames] == ["A_0001.NEF"]
    assert found.left_out == {"no time in its EXIF": ["B_0001.JPG"]}


def test_either_name_calls_it():
    called = Called(["day/A_0001.JPG", "A_0002.JPG"])
    assert called.by("day/a_0001.nef") == ["day/A_0001.JPG"]
    assert called.by("A_0001.CR3") == ["day/A_0001.JPG"]
    assert called.by("A_0003.CR3") == []
