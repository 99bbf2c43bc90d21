"""A plan of each past version opens, says the same, and is saved as one of today."""

import json
import shutil
from pathlib import Path

import pytest

from studiotimer.prep.loading import load_plan
from studiotimer.prep.plan import VERSION, save_plan
from studiotimer.prep.results import results_of

FORMATS = Path(__file__).parent / "formats"
SAID = {1: ("Sundaes for the fair", "Harbor Lane Creamery"), 2: ("Vanilla on slate", None)}


@pytest.mark.parametrize("version", range(1, VERSION + 1))
def test_a_plan_of_every_version_opens_and_is_saved(tmp_path, version):
    """Each was kept as a program of its time wrote it; raising the version asks for one more."""
    path = tmp_path / "plan.json"
    shutil.copy(FORMATS / f"version_{version}.json", path)
    kept = json.loads(path.read_text(encoding="utf-8"))
    assert kept["version"] == version
    plan = load_plan(path)
    title, client = SAID[version]
    assert plan.title == kept["title"] == title
    assert client is None or plan.client == client
    assert [shot.name for shot in plan.shots] == [shot["name"] for shot in kept["shots"]]
    assert [flavour.name for flavour in plan.flavours] == [flavour["name"] for flavour in kept["flavours"]]
    assert results_of(plan).pulls.value > 0
    save_plan(plan, path)
    assert json.loads(path.read_text(encoding="utf-8"))["version"] == VERSION
    again = load_plan(path)
    assert again == plan
