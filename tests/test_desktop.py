"""The menu entry, the icons and the type of session files, put into a desktop's places and taken away again."""

import os
import shutil
import subprocess
import sys
import time
from configparser import ConfigParser
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image

from studiotimer import desktop
from studiotimer.cli import main
from studiotimer.places import demo_sessions

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="a Linux desktop's places")
DEMO = demo_sessions() / "hot_tungsten/hot_tungsten.setlog"


def needs(*programs, package):
    missing = [each for each in programs if shutil.which(each) is None]
    return pytest.mark.skipif(bool(missing), reason=f"needs {', '.join(missing)}: apt-get install {package}")


@pytest.fixture
def share(home, monkeypatch):
    """The user's own folder of the desktop's files."""
    monkeypatch.setenv("XDG_DATA_DIRS", "/usr/share")
    return home / "XDG_DATA_HOME"


@pytest.fixture
def starter(tmp_path):
    """A program in a folder whose name is hard to write down, which tells what it was given."""
    folder = tmp_path / "it's $HOME `made`"
    folder.mkdir()
    program = folder / "studio timer"
    program.write_text(
        f'#!/bin/sh\nprintf "%s\\n" "$@" > "{tmp_path}/given.part"\nmv "{tmp_path}/given.part" "{tmp_path}/given"\n'
    )
    program.chmod(0o755)
    return program


def everything(folder):
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())


def test_it_is_put_there_and_taken_away_by_two_commands(share, capsys):
    assert main(["install-desktop"]) == 0
    assert "Studiotimer is in the menu" in capsys.readouterr().out
    placed = everything(share)
    assert "applications/studiotimer.desktop" in placed
    assert "mime/packages/studiotimer.xml" in placed
    for kind, name in (("apps", "studiotimer"), ("mimetypes", "application-x-studiotimer-session")):
        for size in desktop.SIZES:
            with Image.open(share / f"icons/hicolor/{size}x{size}/{kind}/{name}.png") as picture:
                assert picture.size == (size, size)
                assert picture.getextrema()[3] == (0, 255), "its corners are clear, the rest is not"
        ElementTree.parse(share / f"icons/hicolor/scalable/{kind}/{name}.svg")
    assert main(["install-desktop"]) == 0, "again, as after an update"
    assert everything(share) == placed
    assert main(["remove-desktop"]) == 0
    assert "no longer in the menu" in capsys.readouterr().out
    assert not [path for path in everything(share) if "studiotimer" in path.lower()]
    assert main(["remove-desktop"]) == 0
    assert capsys.readouterr().out == "Studiotimer was not in the menu.\n"


def test_what_is_anothers_stays(share):
    (share / "applications").mkdir()
    (share / "applications/other.desktop").write_text("[Desktop Entry]\n")
    desktop.install(["studiotimer"])
    desktop.uninstall()
    assert (share / "applications/other.desktop").read_text() == "[Desktop Entry]\n"


def test_the_command_is_the_one_that_was_installed(monkeypatch, tmp_path):
    own = desktop.command()
    done = subprocess.run([*own, "--version"], capture_output=True, text=True, check=True)
    assert done.stdout.startswith("studiotimer ")
    monkeypatch.setattr(sys, "executable", str(tmp_path / "python3"))
    assert desktop.command() == [str(tmp_path / "python3"), "-m", "studiotimer"]
    monkeypatch.setattr(sys, "frozen", True, raising=False)
    assert desktop.command() == [str(tmp_path / "python3")], "a bundle is its own program"


def test_a_hard_name_is_written_as_the_standard_has_it(share, starter):
    """Desktop Entry Specification 1.4, “The Exec key” and “Values”: quoted, escaped twice, no sign left to a shell."""
    desktop.install([str(starter)])
    entry = ConfigParser(interpolation=None, strict=True)
    entry.optionxform = str
    entry.read(share / "applications/studiotimer.desktop", encoding="utf-8")
    line = entry["Desktop Entry"]["Exec"]
    assert line.endswith('" window %f')
    value = line.removesuffix(" window %f")[1:-1].replace("\\\\", "\\")
    unquoted = value.replace("\\`", "`").replace("\\$", "$")
    assert unquoted == str(starter)


def test_a_path_that_menus_misread_is_refused(share, capsys, monkeypatch):
    monkeypatch.setattr(desktop, "command", lambda: ["/home/mia/100 %/studiotimer"])
    assert main(["install-desktop"]) == 2
    assert capsys.readouterr().err == (
        "studiotimer: /home/mia/100 %/studiotimer: menus misread the sign % in a path; move the program and try again\n"
    )
    assert everything(share) == []


@needs("desktop-file-validate", package="desktop-file-utils")
def test_the_entry_is_valid(share, starter):
    for started_by in (["studiotimer"], [str(starter)]):
        desktop.install(started_by)
        checked = ["desktop-file-validate", "--warn-kde", str(share / "applications/studiotimer.desktop")]
        done = subprocess.run(checked, capture_output=True, text=True, check=False)
        assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@needs(
    "update-mime-database",
    "update-desktop-database",
    "gio",
    package="shared-mime-info desktop-file-utils libglib2.0-bin",
)
def test_the_desktop_knows_the_type_by_name_and_by_content_and_opens_it(share, starter, tmp_path):
    desktop.install([str(starter)])
    session, renamed = tmp_path / "a shoot.setlog", tmp_path / "no ending"
    for path in (session, renamed):
        shutil.copy(DEMO, path)
    for path in (session, renamed):
        told = subprocess.run(
            ["gio", "info", "-a", "standard::content-type,standard::icon", path], capture_output=True, text=True, check=True
        )  # fmt: skip
        assert f"standard::content-type: {desktop.TYPE}\n" in told.stdout, path.name
        assert "application-x-studiotimer-session" in told.stdout
    opener = ["xdg-open"] if shutil.which("xdg-open") else ["gio", "open"]
    environment = {**os.environ, "XDG_CURRENT_DESKTOP": "GNOME", "DISPLAY": ""}
    subprocess.run([*opener, session], env=environment, check=True, capture_output=True, timeout=90)
    given, end = tmp_path / "given", time.monotonic() + 90
    while not given.exists():
        assert time.monotonic() < end, "nothing was started"
        time.sleep(0.05)
    assert given.read_text().splitlines() == ["window", str(session)]
    desktop.uninstall()
    told = subprocess.run(["gio", "mime", desktop.TYPE], capture_output=True, text=True, check=False)
    assert "studiotimer.desktop" not in told.stdout


def test_a_missing_program_of_the_desktop_is_named(share, monkeypatch, capsys):
    monkeypatch.setenv("PATH", "/nowhere")
    assert main(["install-desktop"]) == 0
    said = capsys.readouterr().out
    assert "update-mime-database is missing (.setlog files are not known yet)" in said
    assert "apt-get install desktop-file-utils" in said


@pytest.mark.fault("a desktop's program that fails")
def test_one_that_fails_is_said(share, monkeypatch, tmp_path):
    for name in desktop.TOLD_BY:
        (tmp_path / name).write_text("#!/bin/sh\nexit 3\n")
        (tmp_path / name).chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    assert sum("did not do its work" in words for words in desktop.install(["studiotimer"])) == 2


@pytest.mark.fault("a disk that takes no menu entry")
def test_where_the_disk_refuses_nothing_half_stays(share, monkeypatch, capsys):
    write, seen = desktop.write_all, []

    def full(folder, files):
        seen.append(folder)
        if len(seen) == 5:
            raise OSError(28, "No space left on device")
        write(folder, files)

    monkeypatch.setattr(desktop, "write_all", full)
    assert main(["install-desktop"]) == 2
    assert "No space left on device" in capsys.readouterr().err
    assert everything(share) == []


def test_other_systems_are_told_where_to_look(monkeypatch, capsys):
    monkeypatch.setattr(sys, "platform", "win32")
    for command in ("install-desktop", "remove-desktop"):
        assert main([command]) == 2
        assert f"studiotimer: {command} is for Linux" in capsys.readouterr().err


def test_every_size_that_is_installed_is_shipped():
    shipped = Path(desktop.resource("desktop", "program")).glob("*.png")
    assert sorted(int(path.stem) for path in shipped) == list(desktop.SIZES)
