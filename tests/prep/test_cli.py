from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from studiotimer.cli import main
from studiotimer.places import demo_sessions
from tests.prep.plans import CALM, THREE_FLAVOURS

pytestmark = pytest.mark.usefixtures("qapp")

FILES = [
    "flags.pdf", "plan.json", "run_sheet.ics", "sheet.pdf", "shopping.csv", "to_client.txt", "to_photographer.txt",
    "to_supplier.txt",
]  # fmt: skip


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "coupe.json"
    path.write_text(json.dumps(THREE_FLAVOURS))
    return path


def test_every_file_and_the_results(plan: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prep", str(plan), "--out", str(tmp_path / "out"), "--json"]) == 0
    values = json.loads(capsys.readouterr().out)
    assert sorted(each.name for each in (tmp_path / "out").iterdir()) == FILES
    assert [shot["name"] for shot in values["shots"]] == ["Coupe", "Cone, backlit", "Sundae, sauce running"]
    assert values["dry_ice"]["buy"]["value"] > 0


def test_text_for_people_has_the_cautions(plan: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prep", str(plan), "--out", str(tmp_path / "out")]) == 0
    said = capsys.readouterr().out
    for part in ("freezer 1: 11 °F", "Product in the freezers", "sealed container", "closed car",
                 "low places", "A CO₂ monitor decides", "supplier's safety data sheet", "Local codes"):  # fmt: skip
        assert part in said


def test_two_runs_give_the_same_bytes(plan: Path, tmp_path: Path) -> None:
    """In processes of their own, so that nothing kept in memory can make them agree."""
    for out in ("one", "two"):
        command = [sys.executable, "-m", "studiotimer", "prep", str(plan), "--out", str(tmp_path / out)]
        environment = {"SOURCE_DATE_EPOCH": "1900000000", "PYTHONHASHSEED": "0" if out == "one" else "7"}
        subprocess.run(command, check=True, capture_output=True, timeout=60, env=environment)
    for name in FILES:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes(), name


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"width": "65"}, "width: “65” has no unit"),
        ({"version": 9}, "newer studiotimer"),
        ({"flavours": [{"name": "Vanilla", "mix": "nothing"}]}, "flavour Vanilla, mix: “nothing” is not known"),
        ({"tub": {"size": "vat"}}, "tub: “vat” is not a size known here"),
    ],
)
def test_bad_input_is_one_line_and_exit_2(
    change: dict[str, object], sentence: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "p.json").write_text(json.dumps(CALM | change))
    assert main(["prep", str(tmp_path / "p.json"), "--out", str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    assert sentence in said
    assert said.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_a_missing_plan_and_a_folder_that_cannot_be(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prep", str(tmp_path / "none.json"), "--out", str(tmp_path)]) == 2
    assert "the plan cannot be read" in capsys.readouterr().err
    (tmp_path / "p.json").write_text(json.dumps(CALM))
    assert main(["prep", str(tmp_path / "p.json"), "--out", str(tmp_path / "p.json")]) == 2
    assert "--out:" in capsys.readouterr().err


def test_a_past_date_is_said_and_the_files_are_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "p.json").write_text(json.dumps(CALM | {"date": "2021-06-14"}))
    assert main(["prep", str(tmp_path / "p.json"), "--out", str(tmp_path / "out")]) == 0
    said = capsys.readouterr().err
    assert said == "studiotimer: note: the planned day is past, 14 Jun 2021; its files are written all the same\n"
    assert sorted(each.name for each in (tmp_path / "out").iterdir()) == FILES


@pytest.mark.parametrize("demo", ["calm_led", "hot_tungsten"])
def test_the_plan_of_a_demo_is_written_however_long_ago_its_day_was(
    demo: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["prep", str(demo_sessions() / demo / "plan.json"), "--out", str(tmp_path / "out")]) == 0
    assert "its files are written all the same" in capsys.readouterr().err
    assert sorted(each.name for each in (tmp_path / "out").iterdir()) == FILES
