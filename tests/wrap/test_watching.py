"""The capture folder: pictures written in pieces, renamed, twenty a second, a folder that goes away."""

import datetime as dt
import shutil

import pytest
from PIL import Image

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
    assert frame.at == dt.datetime(2026, 6, 14, 8, 32, 5, 250_000, tzinfo=dt.UTC)
    assert looks(watch) == []


def test_the_cameras_clock_may_be_ahead(folder):
    watch = FolderWatch(folder, ahead_s=120.0)
    watch.look()
    picture(folder / "A_0001.jpg")
    assert looks(watch)[0].at == dt.datetime(2026, 6, 14, 8, 30, 5, 250_000, tzinfo=dt.UTC)


def test_without_an_offset_the_camera_is_on_this_machines_time(folder, watch):
    picture(folder / "A_0001.jpg", offset="")
    assert looks(watch)[0].at == dt.datetime(2026, 6, 14, 10, 32, 5, 250_000).astimezone()


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
