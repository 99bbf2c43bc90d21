"""Parts of the program in processes of their own, from an environment and from a bundle."""

import os
import runpy
import subprocess
import sys
from pathlib import Path

import pytest

from studiotimer import apart


@pytest.fixture
def bundle(monkeypatch, tmp_path):
    """As if the program ran from a bundle in a folder."""
    monkeypatch.setattr(sys, "frozen", True, raising=False)
    monkeypatch.setattr(sys, "_MEIPASS", str(tmp_path), raising=False)
    monkeypatch.setattr(sys, "argv", ["studiotimer"])
    return tmp_path


def test_from_an_environment_the_interpreter_is_asked(tmp_path):
    done = subprocess.run(apart.module_line("studiotimer", "--version"), capture_output=True, text=True, check=True)
    assert done.stdout.startswith("studiotimer ")
    script = apart.script_line("window/player.py", "sounds")
    assert script[0] == sys.executable
    assert Path(script[-2]).is_file()
    assert script[-1] == "sounds"
    assert not apart.is_part([apart.PART, "studiotimer.wrap.heic_process"]), "there is a module to ask for"


def test_from_a_bundle_the_program_is_begun_again(bundle):
    assert apart.module_line("studiotimer.wrap.heic_process", "1") == [
        sys.executable,
        "--part",
        "studiotimer.wrap.heic_process",
        "1",
    ]
    assert apart.script_line("window/player.py", "a b") == [sys.executable, "--part", "window/player.py", "a b"]
    assert apart.is_part(["--part", "window/player.py"])
    assert not apart.is_part(["--part"])
    assert not apart.is_part(["window"])


def test_a_bundle_is_the_part_it_is_told_to_be(bundle, monkeypatch):
    run = []
    monkeypatch.setattr(runpy, "run_module", lambda name, **options: run.append((name, *sys.argv)))
    monkeypatch.setattr(runpy, "run_path", lambda path, **options: run.append((Path(path).name, *sys.argv)))
    apart.run_part(["--part", "studiotimer.wrap.heic_process", "1"])
    apart.run_part(["--part", "window/player.py", "sounds"])
    assert run == [
        ("studiotimer.wrap.heic_process", "studiotimer.wrap.heic_process", "1"), ("player.py", "window/player.py", "sounds"),
    ]  # fmt: skip


@pytest.mark.parametrize("part", ["os", "../../elsewhere.py", "/tmp/elsewhere.py"])
def test_what_is_none_of_ours_is_no_part(bundle, part):
    with pytest.raises(ValueError, match="is no part of this program"):
        apart.run_part(["--part", part])


def test_programs_of_the_system_get_the_libraries_of_the_system(bundle, monkeypatch):
    monkeypatch.setenv("LD_LIBRARY_PATH", "/bundle")
    monkeypatch.setenv("LD_LIBRARY_PATH_ORIG", "/opt/theirs")
    monkeypatch.setenv("DYLD_LIBRARY_PATH", "/bundle")
    apart.leave_libraries_to_us()
    assert os.environ["LD_LIBRARY_PATH"] == "/opt/theirs"
    assert "LD_LIBRARY_PATH_ORIG" not in os.environ
    assert "DYLD_LIBRARY_PATH" not in os.environ
    assert os.environ.pop(apart._ANEW) == "1", "or a part would look for its own where the system has its"


def test_an_environment_keeps_what_its_person_set(monkeypatch):
    monkeypatch.setenv("LD_LIBRARY_PATH", "/opt/theirs")
    apart.leave_libraries_to_us()
    assert os.environ["LD_LIBRARY_PATH"] == "/opt/theirs"


def test_what_the_system_lacks_is_loaded_from_beside_in_any_order(bundle, monkeypatch):
    (bundle / apart.INSTEAD).mkdir()
    for name in ("liba.so.1", "libb.so.1", "libc-of-theirs.so.1"):
        (bundle / apart.INSTEAD / name).touch()
    loaded = []

    def load(library):
        name = Path(library).name
        if library == "libc-of-theirs.so.1":
            return
        if name == library or (name == "liba.so.1" and "libb.so.1" not in loaded):
            raise OSError("not found")
        loaded.append(name)

    monkeypatch.setattr(apart.ctypes, "CDLL", load)
    apart.fill_in()
    assert loaded == ["libb.so.1", "liba.so.1"], "a needs b; the system has the third"


def test_a_library_that_can_never_be_loaded_holds_nothing_up(bundle):
    (bundle / apart.INSTEAD).mkdir()
    (bundle / apart.INSTEAD / "libnone.so.1").write_bytes(b"no library")
    apart.fill_in()


@pytest.mark.parametrize(
    ("told", "after"),
    [
        ({}, "C.UTF-8"),
        ({"LANG": "C"}, "C.UTF-8"),
        ({"LC_ALL": "POSIX", "LANG": "en_US.UTF-8"}, "C.UTF-8"),
        ({"LANG": "de_AT.UTF-8"}, None),
    ],
)
@pytest.mark.skipif(sys.platform == "win32", reason="its text is told otherwise")
def test_a_bundle_takes_text_for_utf8_where_the_system_says_nothing(monkeypatch, told, after):
    for name in ("LC_ALL", "LC_CTYPE", "LANG"):
        monkeypatch.setenv(name, told.get(name, ""))
    runpy.run_path(str(Path(apart.__file__).parents[1] / "resources/bundle/start.py"))["read_utf8"]()
    assert os.environ.get("LC_CTYPE") == (after or "")


def test_nothing_else_asks_for_the_interpreter():
    """In a bundle that is the program itself: who begins it as if it were an interpreter begins one more window."""
    package = Path(apart.__file__).parent
    asking = {
        path.relative_to(package).as_posix()
        for path in package.rglob("*.py")
        if "sys.executable" in path.read_text("utf-8")
    }
    assert asking == {"apart.py", "desktop.py"}
