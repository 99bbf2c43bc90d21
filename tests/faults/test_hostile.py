"""Names and files made to do harm: refused in a sentence, or shown as the plain words they are."""

import json
import os
import subprocess
import sys
import time
import tracemalloc
import unicodedata
import zlib
from datetime import timedelta
from itertools import islice

import pytest

from studiotimer.plain import plain
from studiotimer.session.calls.registry import CALLS, field_names
from studiotimer.session.first_lines import LARGEST_FILE, SessionFileError, summed
from studiotimer.session.following import Follower
from studiotimer.session.journal import create, open_for_writing
from studiotimer.session.lines import stamp, to_line
from studiotimer.session.live import new_session, open_read_only, open_session
from studiotimer.session.mending import Ledger
from studiotimer.session.reading import MOST_BAD, parse, read
from studiotimer.session.verifying import verify
from tests.long import long
from tests.session.clocks import HandClock
from tests.session.shoots import BEGAN, SHOT, entry, file_bytes, header_line, plan, small_shoot

NAMES = [
    "<img src=x onerror=alert(1)>",
    '=HYPERLINK("http://example.invalid")',
    "@SUM(1)",
    "../../etc/passwd",
    "\u202egnp.exe\u2066",
    "a\nb\r\nc\u2028d",
    "\x1b[2J\x07\x00bell",
    "vanilla\u200b\ufeff",
    "\ud800\udfff",
    "Z\u0301\u0301\u0301" * 20,
    '{"n":1}","sum":"00000000"}',
]


@pytest.fixture
def session(tmp_path):
    session = new_session(tmp_path / "shoot.setlog", plan(), HandClock())
    yield session
    session.leave()


@pytest.mark.parametrize("name", NAMES, ids=range(len(NAMES)))
def test_a_name_is_one_plain_line_everywhere(session, name):
    for kind, given in [
        ("shot", {"name": name, "flavours": [name], "spots": [name]}),
        ("pull", {"flavour": name}),
        ("hero_in", {"scoops": [1], "flavours": [name], "spots": [name]}),
        ("tub_out", {"flavour": name}),
        ("stand_in", {"prop": name}),
        ("frame", {"name": name}),
        ("note", {"text": name}),
        ("hold", {"why": name}),
        ("amend", {"entry": 3, "change": {"flavour": name}}),
    ]:
        assert session.call(kind, given).refused is None
    state = session.state
    words = [state.shot.name, *state.shot.flavours, state.scoops[1].flavour, state.scoops[1].spot, *state.props]
    words += [*state.tubs_out, *(one.text for one in session.ledger.entries if one.kind == "note")]
    for word in words:
        assert word == plain(name)
        assert not {unicodedata.category(letter) for letter in word} & {"Cc", "Zl", "Zp", "Cs"}
        assert not set(word) & set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200b\ufeff")
    assert session.close()
    held = read(session.path)
    assert held.condition == "whole"
    assert session.path.read_bytes().count(b"\n") == len(held.entries) + 1
    assert Ledger.of(held.entries).state.scoops == state.scoops


@pytest.mark.parametrize("kind", CALLS)
@pytest.mark.parametrize(
    "value", ["x" * 10_000_000, 10**4000, float("nan"), float("-inf"), [[]] * 99, {"a": {"b": {}}}, "\x00", -1, 1e300],
    ids=["10 MB", "huge", "nan", "inf", "lists", "deep", "nul", "negative", "large"],
)  # fmt: skip
def test_a_hostile_value_in_any_field_is_refused_or_harmless(session, kind, value):
    for name in field_names(kind):
        outcome = session.call(kind, {name: value})
        if outcome.refused is not None:
            assert len(outcome.refused) < 500
            assert plain(outcome.refused) == outcome.refused
        else:
            assert len(to_line(outcome.entry)) < 10_000
    assert Ledger.of(session.ledger.entries).state == session.state


@pytest.mark.fault("a line of 10 MB in a session")
def test_a_line_of_10_mb_is_named_and_the_rest_read(tmp_path):
    path = tmp_path / "long.setlog"
    entries = small_shoot()
    long = summed(
        {"n": 3, "run": 1, "at": "2026-06-14T10:00:00.000000Z", "tick": 1.0, "kind": "note", "text": "x" * 10**7}
    )
    lines = file_bytes(entries).splitlines(keepends=True)
    path.write_bytes(b"".join([*lines[:3], long, *lines[4:]]))
    held = read(path)
    assert [bad.line for bad in held.bad_lines] == [4]
    assert len(held.entries) == len(entries) - 1
    assert len(verify(path).text()) < 200


@pytest.mark.fault("JSON as deep as it is long in a session")
@pytest.mark.parametrize("opening", ["[", '{"a":', '{"kind":"amend","n":1,"change":{"a":['])
def test_deep_json_is_named(tmp_path, opening):
    path = tmp_path / "deep.setlog"
    body = (opening * 200_000).encode()
    line = body[:-1] + b',"sum":"%08x"}\n' % zlib.crc32(body[:-1])
    path.write_bytes(file_bytes(small_shoot()[:1]) + line)
    assert [bad.line for bad in read(path).bad_lines] == [3]
    path.write_bytes(line)
    with pytest.raises(SessionFileError):
        read(path)


@pytest.mark.parametrize(
    "broken",
    [
        {"flavours": "x"},
        {"flavours": [{"name": "\x1b" * 50}], "shots": [{"name": "a", "heroes": [{"flavour": "b"}]}]},
        {"version": 10**300},
        {"version": "\u202e"},
        {"flavours": [{"name": "a", "mix": {"recipe": {"fat": "-1e999"}}}]},
        json.loads('{"a":' * 150 + "1" + "}" * 150),
        {"pull_to_set_s": float("1e308"), "flavours": [], "shots": []},
        {"timezone": "../../../etc/passwd", "flavours": [{"name": "a"}], "shots": [{"name": "a", "heroes": []}]},
    ],
)
def test_a_plan_that_is_none_leaves_a_plain_one(tmp_path, broken):
    path = tmp_path / "plan.setlog"
    path.write_bytes(file_bytes(small_shoot(), plan=broken))
    session = open_read_only(path)
    assert session.plan.flavours[0].name == "unknown"
    assert session.state.scoops


@pytest.mark.fault("times at the ends of the calendar")
def test_times_at_the_ends_of_the_calendar(tmp_path):
    path = tmp_path / "times.setlog"
    lines = [
        b'"at":"0001-01-01T00:00:00Z","tick":1.0', b'"at":"9999-12-31T23:59:59.999999Z","tick":1.0',
        b'"at":"1970-01-01T00:00:00+23:59","tick":-86400.0', b'"at":"8999-12-31T23:59:59Z","tick":100000000.0',
    ]  # fmt: skip
    data = header_line()
    for n, line in enumerate(lines, 1):
        body = b'{"n":%d,"run":%d,%s,"kind":"note","text":"x"' % (n, n, line)
        data += body + b',"sum":"%08x"}\n' % zlib.crc32(body)
    path.write_bytes(data)
    held = read(path)
    assert [bad.line for bad in held.bad_lines] == [2, 3]
    session = open_read_only(path)
    assert [one.n for one in session.ledger.entries] == [3, 4]
    session.wall_time(session.state.last_time)


@pytest.mark.parametrize(
    "mends",
    [
        [("take_back", lambda n: {"entry": n - 1})],
        [("amend", lambda n: {"entry": 2, "change": {"tick": 0.5}})],
        [("take_back", lambda n: {"entry": 2}), ("amend", lambda n: {"entry": n - 1, "change": {"tick": 1}})],
        [("pull", lambda n: {"scoop": 1, "flavour": "a", "to": "box"})],
    ],
    ids=["each takes the last back", "one amended over and over", "mends of mends", "pulled over and over"],
)
@pytest.mark.fault("a session made to be slow")
def test_many_entries_made_to_be_slow_open_soon(mends):
    entries = [entry(1, "shot", **SHOT), entry(2, "pull", 1.0, scoop=1, flavour="a", to="box")]
    for n in range(3, 8_003):
        kind, fields = mends[n % len(mends)]
        entries.append(entry(n, kind, 2.0, **fields(n)))
    began = time.process_time()
    ledger = Ledger.of(entries)
    assert time.process_time() - began < 3.0
    began = time.process_time()
    ledger.add(entry(9_000, "take_back", 3.0, entry=8_002))
    assert time.process_time() - began < 0.5


def test_names_of_files_are_plain_in_what_is_said(tmp_path):
    path = tmp_path / "a\x1b[2J\u202eb.setlog"
    for make in (lambda: read(path), lambda: open_session(path), lambda: Follower(path)):
        with pytest.raises(SessionFileError) as refused:
            make()
        assert str(refused.value) == "a [2Jb.setlog: there is no such file"
    path.write_bytes(file_bytes([]))
    follower = Follower(path)
    path.unlink()
    follower.poll()
    assert follower.trouble.startswith("a [2Jb.setlog cannot be read just now")


def test_a_name_from_a_folder_above_stays_a_name(tmp_path):
    """A session's words never become a path: only the path it was opened by is written beside."""
    journal, _ = create(tmp_path / "shoot.setlog", {"title": "../../x"}, BEGAN, session="../../y")
    journal.append([entry(1, "frame", name="../../z")])
    journal.close()
    with (tmp_path / "shoot.setlog").open("ab") as file:
        file.write(b"torn")
    journal, _, aside = open_for_writing(tmp_path / "shoot.setlog")
    journal.close()
    assert aside.parent == tmp_path
    assert sorted(path.name for path in tmp_path.iterdir()) == ["shoot.setlog", "shoot.setlog.torn-1"]


@pytest.mark.fault("a session of many GB")
def test_a_very_large_file_is_refused_at_once(tmp_path):
    path = tmp_path / "large.setlog"
    with path.open("wb") as file:
        file.write(header_line())
        file.truncate(LARGEST_FILE * 40)
    began = time.process_time()
    with pytest.raises(SessionFileError, match="no session is that large"):
        read(path)
    assert time.process_time() - began < 1.0


@pytest.mark.fault("a million line ends")
@pytest.mark.fault("a session of a million line ends")
def test_reading_stops_where_too_much_cannot_be_read(tmp_path):
    held = parse(tmp_path / "x.setlog", file_bytes(small_shoot()) + b"\n" * 1_000_000 + to_line(small_shoot()[0]))
    assert held.condition == "damaged"
    assert len(held.bad_lines) == MOST_BAD + 1
    assert held.bad_lines[-1].why == "there is too much before it; reading stopped here"
    assert len(held.entries) == len(small_shoot())


MEASURED = """
import resource, sys, time
from pathlib import Path
import studiotimer.session.live, studiotimer.session.verifying
from studiotimer.session.following import Follower
from studiotimer.session.mending import Ledger
from studiotimer.session.reading import read
from studiotimer.session.first_lines import SessionFileError

def most():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024

path, before, began = Path(sys.argv[1]), most(), time.process_time()
try:
    Ledger.of(read(path).entries)
    follower = Follower(path)
    for _ in range(40):
        follower.poll()
except SessionFileError as error:
    print(error, file=sys.stderr)
print(most() - before, time.process_time() - began)
"""
_NOTE = to_line(entry(1, "note", text="x"))


def _lines(kind, most, named=None, **fields):
    """Yield entries' lines, `most` bytes of them: the first as the program writes it, the others numbered on from it."""
    first = to_line(entry(1, kind, 0.01, **fields | ({named: 1} if named else {})))
    like = {key: value for key, value in json.loads(first).items() if key != "sum"}
    assert summed(like) == first
    number, size = 1, 0
    while size < most:
        at = stamp(BEGAN + timedelta(seconds=number * 0.01))
        numbered = {"n": number, "at": at, "tick": round(number * 0.01, 6)} | ({named: number} if named else {})
        line = summed(like | numbered)
        size += len(line)
        number += 1
        yield line


def _notes(most):
    return _lines("note", most, text="x")


def _pulls(most):
    return islice(_lines("pull", most, named="scoop", flavour="a", to="box"), 99_999)


MIB = 1 << 20
CONTENTS = {
    "20 MiB of line ends": lambda: [b"\n" * (20 * MIB)],
    "20 MiB of zeros": lambda: [b"\0" * (20 * MIB)],
    "20 MiB of line ends between good lines": lambda: [(b"\n" + _NOTE) * (20 * MIB // (len(_NOTE) + 1))],
    "20 MiB of notes": lambda: _notes(20 * MIB),
    "60 MiB of notes": lambda: _notes(60 * MIB),
    "100,000 pulls": lambda: _pulls(60 * MIB),
    "a line of 60 MiB": lambda: [b'{"n":1,"text":"' + b"x" * (60 * MIB)],
}
TAKES_LONG = ("60 MiB of notes",)


@pytest.mark.skipif(sys.platform == "win32", reason="asks how much memory was used as Unix tells it")
@pytest.mark.fault("a session of {what}")
@pytest.mark.parametrize("what", [pytest.param(what, marks=long if what in TAKES_LONG else ()) for what in CONTENTS])
def test_memory_stays_within_three_times_the_file_and_300_mib(tmp_path, what):
    path = tmp_path / "large.setlog"
    with path.open("wb") as file:
        file.write(header_line())
        file.writelines(CONTENTS[what]())
    done = subprocess.run([sys.executable, "-c", MEASURED, str(path)], capture_output=True, text=True, check=True)
    memory, seconds = map(float, done.stdout.split())
    assert memory < 3 * path.stat().st_size + 300 * MIB
    assert seconds < 60


@pytest.mark.fault("a followed session that grows by zeros")
def test_a_followed_file_that_grows_without_end_takes_no_memory(tmp_path):
    path = tmp_path / "grows.setlog"
    path.write_bytes(file_bytes(small_shoot()))
    seconds = [0.0]
    follower = Follower(path, lambda: seconds[0])
    assert len(follower.poll()) == len(small_shoot())
    size = path.stat().st_size
    tracemalloc.start()
    try:
        for step in range(1, 40):
            os.truncate(path, size + step * 50 * MIB)
            seconds[0] += 5.0
            assert follower.poll() == ()
        assert tracemalloc.get_traced_memory()[1] < 40 * MIB
    finally:
        tracemalloc.stop()
    assert follower.trouble == f"line {len(small_shoot()) + 2} of grows.setlog is not complete yet"


@pytest.mark.fault("a followed session that grows by line ends")
def test_a_followed_file_of_line_ends_is_given_up(tmp_path, monkeypatch):
    monkeypatch.setattr("studiotimer.session.following.PATIENCE_S", 0.0)
    path = tmp_path / "grows.setlog"
    path.write_bytes(file_bytes(small_shoot()) + b"\n" * (20 * MIB))
    follower = Follower(path)
    for _ in range(5):
        follower.poll()
    assert follower.trouble == "there is too much in grows.setlog; it is followed no further"
    assert len(follower.bad_lines) == MOST_BAD
