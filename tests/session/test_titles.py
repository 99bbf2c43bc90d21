"""What a session is called by its first line alone is what reading it whole has."""

import pytest

from studiotimer.session.first_lines import VERSION, SessionFileError, summed
from studiotimer.session.reading import read_header
from studiotimer.session.titles import title_of
from tests.session.shoots import entry, file_bytes, header_line

TITLED = header_line(plan={"title": "Three in a coupe"})
LINES = {
    "a title": (TITLED, "Three in a coupe"),
    "a title with a newline after it": (TITLED + b"\n", "Three in a coupe"),
    "no title": (header_line(), "day"),
    "an empty title": (header_line(plan={"title": ""}), "day"),
    "a newer version": (header_line(plan={"title": "New"}, version=VERSION + 1), "day"),
    "the first version": (header_line(plan={"title": "First"}, version=1), "First"),
    "a version that is none": (header_line(plan={"title": "Old"}, version=0), "day"),
    "another format": (summed({"format": "other", "plan": {"title": "Other"}}), "day"),
    "a plan that is none": (header_line(plan=[1]), "day"),
    "JSON too deep": (summed({"plan": 0}).replace(b"0", b"[" * 100_000, 1), "day"),
    "nothing": (b"", "day"),
    "text": (b"hello\nworld\n", "day"),
    "damaged, with entries after it": (
        file_bytes([entry(1, "note", text="late")], plan={"title": "Coupe"}).replace(b"Coupe", b"Coupo", 1), "Coupo"
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", LINES)
def test_it_is_what_reading_has(tmp_path, what):
    line, title = LINES[what]
    path = tmp_path / "day.setlog"
    path.write_bytes(line)
    assert title_of(path) == title
    try:
        assert str(read_header(path).plan.get("title") or path.stem) == title
    except SessionFileError:
        assert title == path.stem


def test_a_folder_or_nothing_there_has_its_own_name(tmp_path):
    (tmp_path / "shoots.setlog").mkdir()
    assert title_of(tmp_path / "shoots.setlog") == "shoots"
    assert title_of(tmp_path / "gone.setlog") == "gone"
