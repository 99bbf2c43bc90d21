"""The commands about a shoot, and every bad word of the command line: one clear line and exit 2."""

import json
import os
import shutil
import subprocess
import sys

import pytest

from studiotimer import apart
from studiotimer.cli import main
from studiotimer.cli.libraries import PACKAGES, X11_PACKAGES, what_drawing_lacks, what_is_missing
from studiotimer.places import demo_sessions
from studiotimer.prep.plan import quick_plan
from studiotimer.session.live import new_session
from tests.test_cli_physics import LIFE


def changed(option, value):
    line = list(LIFE)
    line[line.index(option) + 1] = value
    return line


def test_the_published_example(capsys):
    assert main([*LIFE, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["sheen_s"] == pytest.approx(62.8, rel=0.005)
    assert found["edges_s"] == pytest.approx(171.0, rel=0.005)
    assert found["first_drip_s"] == pytest.approx(275.7, rel=0.005)
    assert found["slump_s"] == pytest.approx(708, rel=0.01)


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (changed("--mix", "bubblegum"), "mix"),
        (changed("--from", "-12"), "unit"),
        (changed("--from", "-90C"), "−80"),
        (changed("--room", "61C"), "60"),
        (changed("--humidity", "101"), "100"),
        (changed("--humidity", "-1"), "0"),
        ([*LIFE, "--width", "0mm"], "width"),
        (["verify", "nowhere.setlog"], "no such file"),
        (["nowhere.setlog"], "no such file"),
        (["--log", "calls,sounds"], "“sounds” is no category of the log; write calls, forecast or disk, several"),
        (["--log", ""], "“” is no category of the log; write calls, forecast or disk, several"),
        (["--log"], "expected one argument"),
        (["call", "dance"], "dance"),
        (["lif"], "lif"),
    ],
)
def test_a_bad_word_is_one_clear_line_and_exit_2(line, says, capsys):
    assert main(line) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.count("\n") == 1
    assert says in shown.err
    assert "Traceback" not in shown.err


def test_verify_says_whole_torn_and_damaged(tmp_path, capsys):
    path = tmp_path / "a.setlog"
    session = new_session(path, quick_plan("vanilla", "premium", "crisp", 22.0, "LED 2000 lx"))
    session.call("pull")
    session.close()
    assert main(["verify", str(path)]) == 0
    assert "whole" in capsys.readouterr().out
    whole = path.read_bytes()
    path.write_bytes(whole[:-9])
    assert main(["verify", str(path), "--json"]) == 1
    assert json.loads(capsys.readouterr().out) == {"entries": 2, "state": "torn", "bad_lines": [4]}
    path.write_bytes(whole.replace(b'"scoop":1', b'"scoop":2'))
    assert main(["verify", str(path), "--json"]) == 1
    assert json.loads(capsys.readouterr().out)["state"] == "damaged"
    path.write_text("shopping: milk")
    assert main(["verify", str(path)]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_a_session_of_a_newer_version_is_named(tmp_path, capsys):
    from studiotimer.session.first_lines import summed

    path = tmp_path / "new.setlog"
    header = {
        "format": "studiotimer session",
        "version": 9,
        "session": "x",
        "created": "2026-06-14T10:00:00Z",
        "plan": {},
    }
    path.write_bytes(summed(header))
    for line in (["verify", str(path)], [str(path)], ["rehearse", str(path)]):
        assert main(line) == 2
        assert "newer" in capsys.readouterr().err


def test_the_demos_are_whole(capsys):
    for path in demo_sessions().glob("*/*.setlog"):
        assert main(["verify", str(path)]) == 0
    capsys.readouterr()


def test_every_command_explains_itself(capsys):
    for command in ("life", "freezer", "temper", "dryice", "co2", "verify", "rehearse", "call", "prep"):
        assert main([command, "--help"]) == 0
        assert len(capsys.readouterr().out) > 200
    assert main(["--version"]) == 0
    assert capsys.readouterr().out.startswith("studiotimer ")


def refusing(*names):
    def load(name):
        if name in names:
            raise OSError(f"{name}: cannot open shared object file")
        return object()

    return load


def test_a_missing_library_is_named_with_its_package():
    screen = {"DISPLAY": ":0"}
    assert what_is_missing(screen, refusing(), "linux") is None
    for name, package in (PACKAGES | X11_PACKAGES).items():
        words = what_is_missing(screen, refusing(name), "linux")
        assert package in words
        assert "work without it" in words
        assert "\n" not in words
    both = what_is_missing(screen, refusing("libxcb-cursor.so.0", "libEGL.so.1"), "linux")
    assert "libegl1 libxcb-cursor0" in both


def test_drawing_names_its_library_and_needs_no_screen():
    assert what_drawing_lacks(refusing(*X11_PACKAGES), "linux") is None
    assert what_drawing_lacks(refusing("libEGL.so.1"), "darwin") is None
    for name, package in PACKAGES.items():
        assert f"{name}; on Debian and Ubuntu: apt-get install {package} (" in what_drawing_lacks(
            refusing(name), "linux"
        )


def test_what_a_bundle_brings_is_not_missing(monkeypatch):
    there = []
    monkeypatch.setattr(apart, "fill_in", lambda: there.append("brought"))

    def load(name):
        if not there:
            raise OSError(f"{name}: cannot open shared object file")

    assert what_drawing_lacks(load, "linux") is None
    there.clear()
    assert what_is_missing({"DISPLAY": ":0"}, load, "linux") is None


@pytest.mark.parametrize("command", ["prep", "wrap"])
def test_where_nothing_can_be_drawn_one_sentence_says_so_and_nothing_is_written(monkeypatch, capsys, tmp_path, command):
    monkeypatch.setattr(f"studiotimer.cli.{command}.what_drawing_lacks", lambda: "drawn with a thing")
    of = {"prep": demo_sessions() / "calm_led" / "plan.json", "wrap": demo_sessions() / "calm_led" / "calm_led.setlog"}[
        command
    ]
    assert main([command, str(of), "--out", str(tmp_path / "out")]) == 1
    assert capsys.readouterr().err == "studiotimer: drawn with a thing\n"
    assert not (tmp_path / "out").exists()


def test_no_screen_is_said_before_qt_ends_the_program():
    assert "no screen" in what_is_missing({}, refusing(), "linux")
    assert what_is_missing({}, refusing("libEGL.so.1"), "darwin") is None
    assert what_is_missing({"QT_QPA_PLATFORM": "offscreen"}, refusing("libxcb-cursor.so.0"), "linux") is None


def test_the_commands_work_where_the_window_cannot(monkeypatch, capsys):
    monkeypatch.setattr("studiotimer.cli.shoot.what_is_missing", lambda: "the window needs a thing")
    assert main([]) == 1
    assert capsys.readouterr().err == "studiotimer: the window needs a thing\n"


LOOKED_AT = """
import builtins, sys, time
from pathlib import Path
from studiotimer import working
from studiotimer.cli import main, shoot

plain, within, told = builtins.__import__, working.within, {}

def look(patience_s, what, work):
    def watched():
        told["qt"] = "PySide6.QtCore" in sys.modules and builtins.__import__ is plain
        before = set(sys.modules)
        try:
            return work()
        finally:
            told["brought"] = sorted(name for name in set(sys.modules) - before if name.startswith("studiotimer"))
    return within(60.0, what, watched)

working.within = look
shoot._run_window = lambda *_, **__: 0
assert main(sys.argv[1:]) == 0
print(told)
"""


@pytest.mark.parametrize("command", [["window"], ["window", "--follow"], ["rehearse"]], ids=" ".join)
@pytest.mark.parametrize("name", ["hot_tungsten.setlog", "plan.json"])
def test_qt_and_what_a_look_at_the_file_needs_are_there_before_it(command, name, tmp_path):
    path = tmp_path / name
    shutil.copy(demo_sessions() / "hot_tungsten" / name, path)
    line = [sys.executable, "-c", LOOKED_AT, *command, str(path)]
    done = subprocess.run(line, capture_output=True, text=True, env={**os.environ, "QT_QPA_PLATFORM": "offscreen"})
    assert done.stdout == "{'qt': True, 'brought': []}\n", done.stderr
