"""`studiotimer wrap` as a person runs it, on the demos and on what cannot be used."""

import csv
import json
import shutil
import subprocess

import pytest

from studiotimer.cli import main
from studiotimer.places import demo_sessions
from studiotimer.wrap.frames import names_in
from tests.wrap.shoots import COUPE, picture, story, write_session

pytestmark = pytest.mark.usefixtures("qapp")  # the whole test run has one application, and this is its kind

FILES = ["frames.csv", "next_plan.json", "report.html", "report.pdf", "scoops.csv"]
CAMERAS = {"calm_led": [], "hot_tungsten": ["--camera-offset", "-3s"]}
CLIPS = {"calm_led": 0, "hot_tungsten": 1}


@pytest.mark.parametrize("name", CAMERAS)
def test_a_demo_with_its_frames(tmp_path, capsys, name):
    demo = demo_sessions() / name
    pictures = list((demo / "frames").glob("*.JPG"))
    arguments = ["--frames", str(demo / "frames"), "--selects", str(demo / "selects.csv"), *CAMERAS[name], "--json"]
    assert main(["wrap", str(demo / f"{name}.setlog"), "--out", str(tmp_path / "out"), *arguments]) == 0
    told = capsys.readouterr()
    values = json.loads(told.out)
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == FILES
    assert (values["frames"], values["clips"]) == (len(pictures), CLIPS[name])
    assert values["frames"] > 80
    assert values["selects"] == len(names_in(demo / "selects.csv")) > 8
    assert told.err == ""
    with (tmp_path / "out" / "frames.csv").open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    with_scoops = {row["frame"] for row in rows if row["scoop"]}
    # the first frame, of the crew screen, was taken while stand-ins had the heroes' place
    assert len(with_scoops) == len(pictures) + CLIPS[name]


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext (poppler-utils) is not installed")
def test_the_pdf_reads_back(tmp_path, capsys):
    demo = demo_sessions() / "hot_tungsten"
    assert main(["wrap", str(demo / "hot_tungsten.setlog"), "--out", str(tmp_path), "--zone", "+02:00"]) == 0
    run = subprocess.run(
        ["pdftotext", "-layout", tmp_path / "report.pdf", "-"], check=True, capture_output=True, timeout=60
    )
    text = " ".join(run.stdout.decode().split())
    for words in (
        "Three in a coupe",
        "9 blood orange",
        "Forecast against seen",
        "8:50",
        "Next time",
        "burns bare skin",
    ):
        assert words in text


def chromium():
    return next(
        (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None
    )


@pytest.mark.skipif(chromium() is None, reason="chromium is not installed")
def test_the_page_in_a_browser(tmp_path, capsys):
    """A frame, a flavour and a shot named like a script stay words: the page's title is not what they would set."""
    evil = "<script>document.title='run'</script>"
    calls = (
        (0, "shot", COUPE | {"name": evil}),
        (10, "pull", {"scoop": 1, "flavour": evil, "to": "tray"}),
        (60, "hero_in", {"scoops": [1], "shot": evil}),
        (200, "out", {"scoops": [1], "why": "gone"}),
    )
    path = write_session(tmp_path / "day.setlog", story(*calls), title=evil)
    picture(tmp_path / "frames" / "<img src=x onerror=document.title='run'>.jpg", "2026:06:14 12:01:30", None, "+02:00")
    assert main(["wrap", str(path), "--out", str(tmp_path / "out"), "--frames", str(tmp_path / "frames")]) == 0
    run = subprocess.run(
        [chromium(), "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={tmp_path / 'profile'}",
         "--dump-dom", (tmp_path / "out" / "report.html").as_uri()],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    page = run.stdout.decode()
    assert "<title>run</title>" not in page
    assert "<svg" in page
    assert "&lt;script&gt;document.title" in page


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--frames", "nowhere"], "there is no such folder or list of frames"),
        (["--frames", "{frames}", "--camera-offset", "3 kg"], "camera-offset: “3 kg”"),
        (["--frames", "{frames}"], "pair a frame with a call (--camera-zone +02:00, --pair FRAME=ENTRY)"),
        (["--frames", "{frames}", "--camera-zone", "Mars"], "is not a time zone; write +02:00 or Europe/Berlin"),
        (["--frames", "{frames}", "--pair", "a.jpg"], "pair: write a frame, =, and what it shows"),
        (["--frames", "{frames}", "--pair", "b.jpg=1"], "“b.jpg” is not one of the frames with a time"),
        (["--frames", "{frames}", "--pair", "a.jpg=x"], "“x” is not the number of an entry"),
        (["--frames", "{frames}", "--pair", "a.jpg=9"], "entry 9 is not a call that counts"),
        (["--frames", "{frames}", "--screen", "a.jpg=12:00:00"], "give the zone the set was in (--zone Europe/Berlin)"),
        (["--frames", "{frames}", "--pair", "a.jpg=1", "--camera-offset", "3s"], "give one of --camera-offset, --pair"),
        (["--selects", "nowhere.csv"], "nowhere.csv cannot be read"),
        (["--next-date", "soon"], "next-date: “soon” is not a date"),
        (["--zone", "x"], "is not a time zone"),
    ],
)
def test_what_cannot_be_used_is_one_sentence(tmp_path, capsys, arguments, words):
    path = write_session(tmp_path / "day.setlog", story((0, "shot", COUPE)))
    picture(tmp_path / "frames" / "a.jpg", "2026:06:14 12:00:30")
    given = [one.format(frames=tmp_path / "frames") for one in arguments]
    assert main(["wrap", str(path), "--out", str(tmp_path / "out"), *given]) == 2
    told = capsys.readouterr().err
    assert words in told
    assert told.count("\n") == 1
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("make", [lambda path: None, lambda path: path.write_text("nothing")])
def test_no_session(tmp_path, capsys, make):
    make(tmp_path / "day.setlog")
    assert main(["wrap", str(tmp_path / "day.setlog"), "--out", str(tmp_path / "out")]) == 2
    assert "day.setlog" in capsys.readouterr().err


def test_an_out_that_cannot_be_written(tmp_path, capsys):
    path = write_session(tmp_path / "day.setlog", story((0, "shot", COUPE)))
    (tmp_path / "out").write_text("a file")
    assert main(["wrap", str(path), "--out", str(tmp_path / "out")]) == 2
    assert "--out: " in capsys.readouterr().err


def test_a_session_with_nothing_in_it(tmp_path, capsys):
    path = write_session(tmp_path / "day.setlog", story((0, "opened", {"version": "0", "machine": "m"})))
    assert main(["wrap", str(path), "--out", str(tmp_path / "out")]) == 0
    assert sorted(one.name for one in (tmp_path / "out").iterdir()) == FILES


def test_a_folder_of_sessions(tmp_path, capsys):
    assert main(["wrap", str(demo_sessions()), "--out", str(tmp_path), "--json"]) == 0
    values = json.loads(capsys.readouterr().out)
    assert {one["session"] for one in values["sessions"]} == {"calm_led", "hot_tungsten", "three_gallon"}
    assert (tmp_path / "sessions.csv").exists()


def test_stopped_by_ctrl_c(tmp_path, capsys, monkeypatch):
    def stop(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("studiotimer.wrap.export.review_of", stop)
    path = write_session(tmp_path / "day.setlog", story((0, "shot", COUPE)))
    assert main(["wrap", str(path), "--out", str(tmp_path / "out")]) == 130
    assert "nothing was written" in capsys.readouterr().err
