"""The wheel, installed in a clean environment, finds its resources from any folder."""

import json
import shutil
import subprocess
import sys
import venv
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

PROBE = """
import json, sys
import studiotimer
from studiotimer import places
print(json.dumps({
    "package": studiotimer.__file__,
    "mixes": str(places.resource("mixes.json")),
    "demos": sorted(path.name for path in places.demo_sessions().glob("*/*.setlog")),
}))
"""


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """Build the wheel, install it without a checkout in sight, and return the environment's folder."""
    work = tmp_path_factory.mktemp("wheel")
    source = work / "source"
    shutil.copytree(
        ROOT, source, ignore=shutil.ignore_patterns(".git", ".venv*", ".*_cache", "__pycache__", "build", "dist")
    )
    build = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(work / "dist"), str(source)]
    subprocess.run(build, check=True, capture_output=True)
    wheel = next((work / "dist").glob("studiotimer-*.whl"))
    shutil.rmtree(source)
    environment = work / "environment"
    venv.create(environment, with_pip=True)
    python = environment / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")
    subprocess.run([python, "-m", "pip", "install", "--quiet", "--no-deps", wheel], check=True, capture_output=True)
    here = next(Path(path) for path in sys.path if Path(path, "pydantic").is_dir())
    site = next(environment.rglob("site-packages"))
    (site / "shared.pth").write_text(f"{here}\n", encoding="utf-8")
    return environment


def run(environment, *arguments, cwd):
    python = environment / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")
    return subprocess.run([python, *arguments], cwd=cwd, capture_output=True, text=True, check=False)


def test_resources_are_found_when_installed(installed, tmp_path):
    done = run(installed, "-c", PROBE, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    for name in ("package", "mixes"):
        assert found[name].startswith(str(installed)), found[name]
    assert found["demos"] == ["calm_led.setlog", "hot_tungsten.setlog", "three_gallon.setlog"]


def test_the_command_runs_from_another_folder(installed, tmp_path):
    command = installed / ("Scripts/studiotimer.exe" if sys.platform == "win32" else "bin/studiotimer")
    options = ["--mix", "superpremium", "--from", "-12C", "--room", "22C", "--humidity", "45", "--light", "LED 2000 lx"]
    done = subprocess.run(
        [command, "life", *options, "--json"], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["edges_s"] == pytest.approx(171.0, rel=0.005)


def test_the_window_opens_when_installed(installed, tmp_path):
    opens = (
        "from studiotimer.window.app import application\n"
        "app = application()\n"
        "from studiotimer.window.main import MainWindow\n"
        "window = MainWindow()\nwindow.show()\napp.processEvents()\n"
        "print(len(window.start.demos.links) // 3)\nwindow.close()\n"
    )
    done = run(installed, "-c", opens, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == "3", "a plan, a day to watch and a copy to open of each demo"
