"""The capture folder: pictures written in pieces, renamed, twenty a second, a folder that goes away."""

import datetime as dt
import os
import shutil
from dataclasses import replace

import pytest
from PIL import Image

from studiotimer.wrap import watching
from studiotimer.wrap.camera import Taken
from studiotimer.wrap.decoding import NoThumbnailError
from studiotimer.wrap.exif import taken_of
from studiotimer.wrap.thumbs import thumbnail
from studiotimer.wrap.watching import PATIENCE, FolderWatch

ORIGINAL, PART, OFFSET = 36867, 37521, 36881


def picture(path, taken="2026:06:14 10:32:05", part="25", offset="+02:00"):
    image = Image.new("RGB", (16, 12), "white")
    exif = image.getexif()
    about = exif.get_ifd(0x8769)
    about[ORIGINAL] = taken
    about[PART] = part
    if offset:
        about[OFFSET] = offset
    image.save(path, "JPEG", exif=exif)
    return path


@pytest.fixture
def folder(tmp_path):
    there = tmp_path / "capture"
    there.mkdir()
    picture(there / "before.jpg")
    return there


@pytest.fixture
def watch(folder):
    watch = FolderWatch(folder)
    assert watch.look() == []
    return watch


def looks(watch, count=3):
    return [frame for _ in range(count) for frame in watch.look()]


def test_a_new_picture_is_dated_by_its_exif_time(folder, watch):
    picture(folder / "A_0001.jpg")
    (frame,) = looks(watch)
    assert frame.name == "A_0001.jpg"
    assert frame.taken == Taken(dt.datetime(2026, 6, 14, 10, 32, 5, 250_000), dt.timedelta(hours=2))
    assert looks(watch) == []


def test_a_picture_written_in_pieces_counts_once_it_is_whole(folder, watch, tmp_path):
    whole = picture(tmp_path / "whole.jpg").read_bytes()
    with (folder / "A_0002.jpg").open("wb") as file:
        for part in (whole[:20], whole[20:200], whole[200:]):
            file.write(part)
            file.flush()
            assert watch.look() == []
    assert [frame.name for frame in looks(watch)] == ["A_0002.jpg"]


def test_a_picture_renamed_after_writing_counts_once(folder, watch):
    picture(folder / "tmp_1.jpg")
    assert watch.look() == []
    (folder / "tmp_1.jpg").rename(folder / "A_0003.jpg")
    assert [frame.name for frame in looks(watch)] == ["A_0003.jpg"]
    (folder / "A_0003.jpg").rename(folder / "select.jpg")
    assert looks(watch) == []


def test_twenty_a_second_all_count_in_order(folder, watch):
    for number in range(60):
        picture(folder / f"B_{number:04}.jpg", f"2026:06:14 10:32:{number // 20:02}", f"{number % 20 * 5:02}")
    frames = looks(watch)
    assert [frame.name for frame in frames] == [f"B_{number:04}.jpg" for number in range(60)]


def test_other_files_and_old_pictures_are_not_frames(folder, watch):
    (folder / "notes.txt").write_text("not a picture")
    assert looks(watch) == []


def test_a_broken_picture_is_named_once_and_the_rest_goes_on(folder, watch):
    (folder / "broken.jpg").write_bytes(b"\xff\xd8 not really")
    picture(folder / "A_0004.jpg")
    assert [frame.name for frame in looks(watch, PATIENCE + 3)] == ["A_0004.jpg"]
    assert len(watch.unreadable) == 1
    assert watch.unreadable[0].startswith("broken.jpg")


def test_a_folder_that_goes_away_is_said_and_taken_up_again(folder, watch, tmp_path):
    folder.rename(tmp_path / "away")
    assert watch.look() == []
    assert "cannot be read" in watch.trouble
    (tmp_path / "away").rename(folder)
    picture(folder / "A_0005.jpg")
    assert [frame.name for frame in looks(watch)] == ["A_0005.jpg"]
    assert watch.trouble is None


def test_nothing_in_the_folder_is_touched(folder, watch):
    path = picture(folder / "A_0006.jpg")
    before = (path.read_bytes(), path.stat().st_mtime_ns)
    looks(watch)
    assert (path.read_bytes(), path.stat().st_mtime_ns) == before
    shutil.rmtree(folder)


def test_another_picture_on_a_deleted_ones_place_on_disk_is_new(folder, watch, monkeypatch):
    """Every file has the same inode here, as one after another may have it where it is given again."""
    real = watching._item

    def item(entry):
        found = real(entry)
        return None if found is None else replace(found, inode=(1, 1))

    monkeypatch.setattr(watching, "_item", item)
    (folder / "before.jpg").unlink()
    for number in range(5):
        path = picture(folder / f"C_{number:04}.jpg", f"2026:06:14 10:33:{number:02}")
        assert [frame.name for frame in looks(watch)] == [path.name]
        path.unlink()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes there")
def test_a_link_that_leads_nowhere_a_pipe_and_a_folder_stop_nothing(folder, watch):
    (folder / "gone.jpg").symlink_to(folder / "nowhere.jpg")
    (folder / "round.jpg").symlink_to(folder / "round.jpg")
    os.mkfifo(folder / "pipe.jpg")
    (folder / "folder.jpg").mkdir()
    picture(folder / "A_0007.jpg")
    assert [frame.name for frame in looks(watch)] == ["A_0007.jpg"]
    assert (watch.trouble, watch.unreadable) == (None, [])


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes there")
def test_a_pipe_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe.jpg")
    with pytest.raises(OSError, match="not a file"):
        taken_of(tmp_path / "pipe.jpg")
    with pytest.raises(NoThumbnailError):
        thumbnail(tmp_path / "pipe.jpg")


@pytest.mark.parametrize("year", ["0001", "0000", "9999", "1899"])
def test_a_year_that_cannot_be_loses_no_other_picture(folder, watch, year):
    picture(folder / "A_0001.jpg")
    picture(folder / "B_bad.jpg", f"{year}:01:01 00:00:00")
    picture(folder / "C_0003.jpg", "2026:06:14 10:32:06")
    assert [frame.name for frame in looks(watch, PATIENCE + 2)] == ["A_0001.jpg", "C_0003.jpg"]
    assert watch.unreadable == ["B_bad.jpg: its EXIF time is not possible"]


def test_a_picture_that_is_rated_or_written_anew_counts_once(folder, watch):
    path = picture(folder / "A_0001.jpg")
    assert len(looks(watch)) == 1
    path.write_bytes(path.read_bytes() + b"rated")
    assert looks(watch) == []
    beside = picture(folder / "A_0001.tmp")
    beside.replace(path)
    assert looks(watch) == []


def test_the_same_name_with_another_time_is_another_picture(folder, watch):
    picture(folder / "latest.jpg", "2026:06:14 10:32:05")
    assert len(looks(watch)) == 1
    beside = picture(folder / "latest.tmp", "2026:06:14 10:32:50")
    beside.replace(folder / "latest.jpg")
    assert [frame.taken.local.second for frame in looks(watch)] == [50]


def test_a_raw_file_and_its_jpeg_are_one_frame(folder, watch):
    picture(folder / "A_0001.jpg")
    picture(folder / "within.jpg", "2026:06:14 10:32:05").rename(folder / "A_0001.nef")
    picture(folder / "A_0002.jpg", "2026:06:14 10:32:09")
    assert [frame.name for frame in looks(watch)] == ["A_0001.jpg", "A_0002.jpg"]
