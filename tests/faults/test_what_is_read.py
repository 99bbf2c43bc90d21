"""What the program reads can be anything: one sentence each, in bounded time and memory, and nothing of it is run."""

import ast
import json
import os
import time
from pathlib import Path

import pytest

import studiotimer
from studiotimer.cli import main
from studiotimer.files import small_bytes, small_json
from studiotimer.mixes import MixError, mix_from_file
from studiotimer.places import LONGEST_NAME, config_folder, data_folder, file_name
from studiotimer.plain import starts_a_formula
from studiotimer.prep.calendar_file import calendar_of
from studiotimer.prep.loading import load_plan
from studiotimer.prep.outputs import made_now
from studiotimer.prep.plan import PlanError, parse_plan, plan_text
from studiotimer.prep.results import results_of
from studiotimer.session.live import open_as_can_be
from studiotimer.wrap.cells import as_written, harmless
from tests.session.shoots import file_bytes, plan, small_shoot

PACKAGE = Path(studiotimer.__file__).parent
DEEP = "[" * 100_000


def no_file(path, what):
    """Make what is no file, or none that can be used, at `path`."""
    if what == "a pipe":
        os.mkfifo(path)
    elif what == "endless zeros":
        path.symlink_to("/dev/zero")
    elif what == "a folder":
        path.mkdir()
    elif what == "deep":
        path.write_text(DEEP)
    elif what == "huge":
        path.write_bytes(b"")
        os.truncate(path, 40 << 30)
    else:
        path.write_bytes(b"\xff\xfe\x00{")


WHAT = ["a pipe", "endless zeros", "a folder", "deep", "huge", "no text"]
posix = pytest.mark.skipif(os.name != "posix", reason="makes pipes and devices")


@posix
@pytest.mark.fault("a plan that is none: {what}")
@pytest.mark.parametrize("what", WHAT)
def test_a_plan_that_is_none(tmp_path, capsys, what):
    path = tmp_path / "plan.json"
    no_file(path, what)
    began = time.monotonic()
    with pytest.raises(PlanError):
        load_plan(path)
    assert main([str(path)]) == 2
    said = capsys.readouterr().err
    assert said.startswith("studiotimer: ")
    assert said.count("\n") == 1
    assert time.monotonic() - began < 60


@posix
@pytest.mark.fault("a mix that is none: {what}")
@pytest.mark.parametrize("what", WHAT)
def test_a_mix_that_is_none(tmp_path, what):
    path = tmp_path / "mix.json"
    no_file(path, what)
    with pytest.raises(MixError):
        mix_from_file(path)
    values = json.loads(plan_text(plan()))
    values["flavours"][0]["mix"] = "mix.json"
    (tmp_path / "plan.json").write_text(json.dumps(values))
    with pytest.raises(PlanError, match="cannot be read as a recipe or label"):
        load_plan(tmp_path / "plan.json")


@posix
@pytest.mark.fault("a list of selects that is none: {what}")
@pytest.mark.parametrize("what", ["a pipe", "endless zeros", "a folder", "huge"])
def test_a_list_that_is_none(tmp_path, capsys, what):
    path, session = tmp_path / "list.csv", tmp_path / "shoot.setlog"
    no_file(path, what)
    session.write_bytes(file_bytes(small_shoot()))
    assert main(["wrap", str(session), "--out", str(tmp_path / "out"), "--selects", str(path)]) == 2
    assert capsys.readouterr().err.count("\n") == 1


@posix
@pytest.mark.fault("{name} is {what} at every start")
@pytest.mark.parametrize("what", WHAT)
@pytest.mark.parametrize("name", ["recent.json", "window.json", "settings.json", "keys.json", "unsaved plan"])
def test_what_is_kept_never_ends_a_start(tmp_path, name, what):
    from studiotimer.window.keys import load_keys
    from studiotimer.window.places_kept import kept, remember
    from studiotimer.window.prep import unsaved
    from studiotimer.window.recent import recent_sessions
    from studiotimer.window.settings.values import load_settings, size_kept

    path = data_folder() / unsaved.NAME if name == "unsaved plan" else config_folder() / name
    no_file(path, what)
    began = time.monotonic()
    size_kept()
    load_settings()
    load_keys()
    assert recent_sessions() == []
    assert kept("window/place") is None
    assert unsaved.kept() is None
    remember("window/place", [1, 2, 3, 4, 0])
    assert time.monotonic() - began < 60


@posix
@pytest.mark.fault("a recent plan is {what}")
@pytest.mark.parametrize("what", WHAT)
def test_a_recent_plan_that_is_none_is_called_by_its_name(tmp_path, what):
    from studiotimer.window.recent import called, recent_sessions, remember

    path = tmp_path / "tomorrow.json"
    remember(path)
    no_file(path, what)
    assert called(path, 30) == "tomorrow"
    recent_sessions()


@pytest.mark.fault("where the windows stood is a pickle")
def test_nothing_kept_about_windows_can_run_anything(tmp_path):
    """An older program kept it in an INI file of Qt's, which unpickles what says that it is a Python object."""
    ran = tmp_path / "ran"
    pickled = f"cbuiltins\\nexec\\n(S'open({str(ran)!r}, \"w\")'\\ntR."
    (config_folder() / "window.ini").write_text(f'[window]\ngeometry="@Variant(\\0\\0\\0\\x7f{pickled})"\n')
    from studiotimer.window.places_kept import kept

    assert kept("window/geometry") is None
    assert not ran.exists()


PARTS = "apart.py"
"""Runs parts of the program's own by their names, and nothing that it reads."""
RUNS = {"pickle", "cPickle", "dill", "cloudpickle", "marshal", "shelve", "yaml", "runpy", "code", "QSettings"}


@pytest.mark.parametrize("path", sorted(PACKAGE.rglob("*.py")), ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_nothing_that_is_read_can_run_anything(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = [alias.name.split(".")[0] for alias in node.names] if isinstance(node, ast.Import) else []
        if isinstance(node, ast.ImportFrom):
            names = [(node.module or "").split(".")[0], *(alias.name for alias in node.names)]
        elif isinstance(node, ast.Call):
            names = [node.func.id] if isinstance(node.func, ast.Name) else []
            names += [keyword.arg or "" for keyword in node.keywords]
        if path.name != PARTS:
            assert not RUNS & set(names), names
        assert not {"eval", "exec", "__import__", "allow_pickle"} & set(names), names


@pytest.mark.fault("the place of a window is {place}")
@pytest.mark.parametrize(
    "place", [None, [], [1, 2, 3], [0, 0, 0, 0, 0], ["1"] * 5, [1e300] * 5, [10**9] * 5, [-9000, -9000, 50, 50, 0], {}]
)
def test_a_window_stands_somewhere_all_the_same(qtbot, place):
    from PySide6.QtWidgets import QApplication, QWidget

    from studiotimer.window.places_kept import keep_place, kept, put_in_place, remember

    window = QWidget()
    qtbot.addWidget(window)
    remember("window/place", place)
    put_in_place(window, "window")
    assert QApplication.primaryScreen().availableGeometry().intersects(window.geometry())
    keep_place(window, "window")
    assert kept("window/place")[:4] == [window.x(), window.y(), window.width(), window.height()]


@pytest.mark.fault("SOURCE_DATE_EPOCH is {epoch}")
@pytest.mark.parametrize("epoch", ["9" * 30, "-1", "²", "1e9", "", "99999999999", "\u0661\u0662", "0"])
def test_a_wild_epoch(monkeypatch, epoch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", epoch)
    made = made_now()
    assert made.tzinfo is not None
    results = results_of(plan())
    assert b"DTSTAMP" in calendar_of(results.plan, results.run_sheet, made)


@pytest.mark.fault("a title with line ends in it")
def test_line_ends_in_a_title_stay_on_their_line(tmp_path):
    values = json.loads(plan_text(plan()))
    values["title"] = "Three\r\nATTENDEE:mailto:x@example.invalid\r\nin\u2028a coupe"
    values["shots"][0]["name"] = "one\r\ntwo"
    made = parse_plan(values)
    assert made.title == "Three  ATTENDEE:mailto:x@example.invalid  in a coupe"
    results = results_of(made)
    calendar = calendar_of(made, results.run_sheet, made_now())
    assert not [line for line in calendar.split(b"\r\n") if line.startswith(b"ATTENDEE")]
    values["title"] = "\r\n\u200b"
    with pytest.raises(PlanError, match=r"title: .*write a name"):
        parse_plan(values)


@pytest.mark.fault("a cell that begins like a formula: {cell}")
@pytest.mark.parametrize(
    "cell",
    ["=1+1", "＝1+1", "\u200b=1", "\u200b\ufeff＠SUM(1)", "  -1", "\u00a0+1", "﹢1", "\t=1", "\r=1", "'=1", "\u2060'＝1",
     "\x00=1", "\u0301=1"],
)  # fmt: skip
def test_no_cell_is_a_formula_and_each_comes_back_as_it_was(cell):
    assert starts_a_formula(cell)
    assert harmless(cell) == f"'{cell}"
    assert as_written(harmless(cell)) == cell


@pytest.mark.parametrize("cell", ["a=1", "", "1-2", "é", "'a'", "日本", "−5", "7"])
def test_other_cells_stay_as_they_are(cell):
    assert harmless(cell) == as_written(cell) == cell


@pytest.mark.fault("a title in letters of four bytes each")
def test_a_files_name_has_room_for_what_is_put_beside_it():
    name = file_name("𝔞" * 200)
    assert len(name.encode()) <= LONGEST_NAME
    assert name == "𝔞" * len(name)


@posix
@pytest.mark.fault("a session's name has 252 bytes")
def test_a_session_whose_name_leaves_no_room_opens(tmp_path):
    path = tmp_path / ("x" * 245 + ".setlog")
    path.write_bytes(file_bytes(small_shoot()))
    session = open_as_can_be(path)
    assert session.read_only
    assert "too long" in session.words[0]
    assert session.state.scoops


@posix
def test_a_small_file_is_read_and_a_larger_one_is_not(tmp_path):
    path = tmp_path / "x"
    path.write_bytes(b"[1]")
    assert small_json(path) == [1]
    assert small_bytes(path, 3) == b"[1]"
    with pytest.raises(OSError, match="larger than 2 bytes"):
        small_bytes(path, 2)
