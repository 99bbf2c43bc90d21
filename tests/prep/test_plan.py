from __future__ import annotations

import copy
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest
from pydantic import BaseModel

from studiotimer.prep import plan as plans
from studiotimer.prep.loading import load_plan
from studiotimer.prep.plan import VERSION, Plan, PlanError, parse_plan, plan_text, quick_plan, save_plan
from studiotimer.prep.plan_numbers import text_key, written
from studiotimer.prep.results import results_of
from tests.prep.plans import CALM, THREE_FLAVOURS, WHOLE_JOB

FORMATS = Path(__file__).parent / "formats"


def test_texts_become_si_and_stay_as_written() -> None:
    plan = parse_plan(THREE_FLAVOURS)
    assert plan.room.air_c == pytest.approx((74 - 32) * 5 / 9)
    assert plan.room.humidity == pytest.approx(0.48)
    assert plan.room.changes_per_s == pytest.approx(3 / 3600)
    assert plan.width_m == pytest.approx(0.0635)
    assert plan.good_share == pytest.approx(1 / 3)
    assert plan.dry_ice.box_loss_kg_per_s == pytest.approx(8 * 0.45359237 / 86400)
    assert written(plan.room.air_c) == "74 F"
    again = json.loads(plan_text(plan))
    assert again["room"]["air"] == "74 F"
    assert again["width"] == "2.5 in"
    assert again["good_share"] == "1 in 3"


def test_a_heat_leak_is_a_box_loss() -> None:
    values = copy.deepcopy(CALM)
    values["dry_ice"]["box_loss"] = "571 W"
    assert parse_plan(values).dry_ice.box_loss_kg_per_s == pytest.approx(1e-3)


@pytest.mark.parametrize("values", [CALM, THREE_FLAVOURS, WHOLE_JOB])
def test_file_and_snapshot_give_the_same_plan(values: dict[str, Any], tmp_path: Path) -> None:
    plan = parse_plan(values)
    save_plan(plan, tmp_path / "plan.json")
    assert load_plan(tmp_path / "plan.json") == plan
    back = Plan.from_snapshot(json.loads(json.dumps(plan.snapshot())))
    assert back == plan
    assert plan_text(back) == plan_text(plan)


def test_reading_a_snapshot_builds_no_unit_registry() -> None:
    snapshot = json.dumps(parse_plan(THREE_FLAVOURS).snapshot())
    code = (
        "import json, sys; from studiotimer.prep.plan import Plan; Plan.from_snapshot(json.load(sys.stdin));"
        "heavy = {'pint', 'scipy', 'numpy', 'PySide6', 'icalendar'} & set(sys.modules); assert not heavy, heavy"
    )
    subprocess.run([sys.executable, "-c", code], input=snapshot.encode(), check=True, timeout=60)


def test_four_answers_make_a_plan() -> None:
    plan = quick_plan("Vanilla", "premium", "sheen", 23.0, "tungsten EV 12")
    assert (plan.shots[0].look, plan.shots[0].light, plan.room.air_c) == ("sheen", "tungsten EV 12", 23.0)
    assert [(hero.flavour, hero.spot) for hero in plan.shots[0].heroes] == [("Vanilla", "centre")]
    with pytest.raises(PlanError, match="room, air"):
        quick_plan("Vanilla", "premium", "sheen", 99.0, "LED 2000 lx")


@pytest.mark.parametrize(
    ("text", "share"), [("1 in 4", 0.25), ("1/4", 0.25), ("25 %", 0.25), ("0.25", 0.25), (0.25, 0.25)]
)
def test_a_share_is_written_many_ways(text: object, share: float) -> None:
    assert parse_plan(CALM | {"good_share": text}).good_share == pytest.approx(share)


def test_numbers_in_a_file_are_si() -> None:
    plan = parse_plan(CALM | {"width_m": 0.07, "room": {"air_c": 20}})
    assert (plan.width_m, plan.room.air_c) == (0.07, 20.0)
    assert json.loads(plan_text(plan))["width_m"] == 0.07


def test_names_are_found_and_may_not_stand_twice() -> None:
    plan = parse_plan(THREE_FLAVOURS)
    assert plan.flavour("Lemon").mix == "sorbet"
    assert plan.shot("Coupe").takes == 2
    with pytest.raises(KeyError):
        plan.flavour("Mint")
    with pytest.raises(KeyError):
        plan.shot("Mint")
    with pytest.raises(PlanError, match="flavours: the name “Vanilla” is used twice"):
        parse_plan(CALM | {"flavours": [{"name": "Vanilla"}, {"name": "Vanilla"}]})


def test_each_hero_has_a_spot_of_its_own() -> None:
    values = copy.deepcopy(CALM)
    values["shots"][0]["heroes"] = [{"flavour": "Vanilla"}, {"flavour": "Vanilla"}]
    assert [hero.spot for hero in parse_plan(values).shots[0].heroes] == ["spot 1", "spot 2"]
    values["shots"][0]["heroes"] = [{"flavour": "Vanilla", "spot": "left"}] * 2
    with pytest.raises(PlanError, match=r"shot 1 \(Scoop\): every hero needs a spot of its own"):
        parse_plan(values)


def test_no_two_fields_share_a_key() -> None:
    for part in (
        plans.Plan, plans.Studio, plans.Shot, plans.DryIce, plans.Tub, plans.Flavour, plans.Hero, plans.Step,
        plans.Person, plans.Place, plans.Delivery,
    ):  # fmt: skip
        keys = [text_key(name) for name in part.model_fields]
        assert len(set(keys)) == len(keys), part


BAD = [
    (("room", "air"), 22, "room, air: 22 has no unit"),
    (("room", "air"), "22", "room, air: .* has no unit; write 22 °C or 72 °F"),
    (("room", "air"), "22 kg", "room, air: .* is not a temperature"),
    (("room", "air"), "99 °C", "room, air: 99 °C is not possible; give −80 to 60 °C"),
    (("room", "humidity"), "145 %", "room, humidity: 145 % is not possible; give 0 to 100 %"),
    (("room", "volume"), "0 m3", "room, volume: 0 m³ is not possible; give more than 0, up to 1,000,000 m³"),
    (("room", "changes"), "-1/h", "room, changes: −1/h is not possible; give 0 to 3,600/h"),
    (("date",), "tomorrow", "date: “tomorrow” is not a date; write 2026-06-14 or 14 Jun 2026"),
    (("date",), "9999-12-31", "date: 31 Dec 9999 is not possible; give 1 Jan 2000 to 1 Jan 2200"),
    (("call_time",), "25:00", "call time: “25:00” is not a time of day"),
    (("timezone",), "Mars/Base", "timezone: “Mars/Base” is not known"),
    (("shots", 0, "look"), "glossy", r"shot 1 \(Scoop\), look: “glossy” is not known; write one of crisp, s"),
    (("shots", 0, "takes"), 0, r"shot 1 \(Scoop\), takes: 0 is not possible; give 1 or more"),
    (("shots", 0, "frames"), 2.5, r"shot 1 \(Scoop\), frames: “2.5” is not a whole number"),
    (("shots", 0, "between"), "0 s", r"shot 1 \(Scoop\), between: 0 s is not possible; give more than 0"),
    (("shots", 0, "heroes", 0, "flavour"), "Mint", "shot Scoop, heroes: there is no flavour “Mint”; write one of"),
    (("shots",), [], "shots: it is empty"),
    (("flavours",), "Vanilla", "flavours: “Vanilla” is not a list"),
    (("flavours", 0, "name"), "", "flavour 1 .*name: it is empty"),
    (("flavours", 0, "tone"), "pink", r"flavour 1 \(Vanilla\), tone: “pink” is not known"),
    (("width",), "65", "width: .* has no unit; write"),
    (("width",), "65 °C", "width: .* is not a length"),
    (("width",), "2 m", "width: 2 m is not possible; give 10 to 300 mm"),
    (("good_share",), "7", "good share: “7” is not a share; write 1 in 3"),
    (("good_share",), "0 in 3", "good share: 0 is not possible; give more than 0, up to 1"),
    (("width_m",), float("nan"), "width: nan mm is not possible; give 10 to 300 mm"),
    (("width_m",), True, "width: True is not a length"),
    (("room",), 3, "room: “3” is not a group of fields"),
    (("title",), "x" * 90, "title: .* is too long; write at most 80 letters"),
    (("confidence",), "100 %", "confidence: 100 % is not possible; give less than 1"),
    (("tub",), {}, "tub: it needs a trade size"),
    (("delivered",), "-200 °C", "delivered: −200 °C is not possible; give −80 to 60 °C"),
    (("dry_ice", "box_loss"), "8 lb", "dry ice, box loss: .* is not a"),
    (("lunch_at",), "noonish", "lunch at: “noonish” is not a time of day"),
    (("place",), {"latitude": 91}, "place, latitude: 91 is not possible; give at most 90"),
    (("people",), [{"name": "Ines"}], "person 1 .*role: it is missing"),
    (("delivery",), {"cartons": 0}, "delivery, cartons: 0 is not possible; give 1 or more"),
    (("delivery",), {"day": "soon"}, "delivery, day: “soon” is not a date"),
    (("dry_ice", "sold"), "sacks", "dry ice, sold: “sacks” is not known; write one of by weight, blocks, bags"),
    (("flavours", 0, "spare_tubs"), -1, r"flavour 1 \(Vanilla\), spare tubs: .1 is not possible; give 0 or more"),
    (("surprise",), 1, "surprise: there is no such field; leave it out"),
]  # fmt: skip


@pytest.mark.parametrize(("place", "value", "sentence"), BAD)
def test_a_bad_field_is_named_in_one_sentence(place: tuple[Any, ...], value: object, sentence: str) -> None:
    values = copy.deepcopy(CALM)
    values.setdefault("room", {})
    parse_plan(values)
    inner = values
    for step in place[:-1]:
        inner = inner[step]
    inner[place[-1]] = value
    with pytest.raises(PlanError, match=sentence) as caught:
        parse_plan(values)
    assert "\n" not in str(caught.value)


def test_every_bad_field_is_listed_with_its_place() -> None:
    values = copy.deepcopy(CALM) | {"width": "1 kg", "date": "soon"}
    with pytest.raises(PlanError) as caught:
        parse_plan(values)
    assert {problem.place for problem in caught.value.problems} == {("width_m",), ("date",)}


@pytest.mark.parametrize(
    ("key", "value", "sentence"),
    [
        ("mix", "premum", "flavour Vanilla, mix: “premum” is not known"),
        (
            "mix",
            {"recipe": {"fat": -3, "overrun_percent": 50}},
            "flavour Vanilla, fat: -3 % is not possible; give 0 to 100 %",
        ),
        ("mix", "no-such.json", "flavour Vanilla, mix: “no-such.json” cannot be read"),
        ("tub", {"size": "bathtub"}, "flavour Vanilla, tub: “bathtub” is not a size known here"),
    ],
)
def test_loading_checks_mixes_and_tubs(key: str, value: object, sentence: str, tmp_path: Path) -> None:
    values = copy.deepcopy(CALM)
    values["flavours"][0][key] = value
    (tmp_path / "plan.json").write_text(json.dumps(values))
    with pytest.raises(PlanError, match=sentence):
        load_plan(tmp_path / "plan.json")


def test_loading_checks_lights(tmp_path: Path) -> None:
    values = copy.deepcopy(CALM)
    values["shots"][0]["light"] = "candle 3 lx"
    (tmp_path / "plan.json").write_text(json.dumps(values))
    with pytest.raises(PlanError, match="shot Scoop, light: “candle” is not a lamp"):
        load_plan(tmp_path / "plan.json")


def test_a_mix_file_beside_the_plan_becomes_part_of_it(tmp_path: Path) -> None:
    recipe = {"recipe": {"name": "own", "fat": 12, "msnf": 10, "sucrose": 14, "stab": 0.2, "overrun_percent": 60}}
    (tmp_path / "own.json").write_text(json.dumps(recipe))
    values = copy.deepcopy(CALM)
    values["flavours"][0]["mix"] = "own.json"
    (tmp_path / "plan.json").write_text(json.dumps(values))
    flavour = load_plan(tmp_path / "plan.json").flavours[0]
    assert flavour.mix == recipe
    assert flavour.mix_name == "own"


def test_a_newer_version_is_refused() -> None:
    with pytest.raises(PlanError, match="version: this plan was made by a newer studiotimer"):
        parse_plan(CALM | {"version": VERSION + 1})
    with pytest.raises(PlanError, match="version: “0” is not known"):
        parse_plan(CALM | {"version": 0})


@pytest.mark.parametrize("version", range(1, VERSION + 1))
def test_a_plan_of_every_version_opens_and_is_written_in_this_one(version: int, tmp_path: Path) -> None:
    """Each was kept as a program of its time wrote it."""
    kept = FORMATS / f"version_{version}.json"
    assert json.loads(kept.read_text(encoding="utf-8"))["version"] == version
    plan = load_plan(kept)
    assert len(results_of(plan).shots) == len(plan.shots) >= 2
    save_plan(plan, tmp_path / "again.json")
    assert json.loads((tmp_path / "again.json").read_text(encoding="utf-8"))["version"] == VERSION
    assert load_plan(tmp_path / "again.json") == plan
    assert Plan.from_snapshot(plan.snapshot() | {"version": version}) == plan


def fields_of(model: type[BaseModel], where: str = "") -> Iterator[str]:
    """Yield every field of a model and of the models in it."""
    for name, field in model.model_fields.items():
        yield f"{where}{name}"
        inside = [field.annotation, *get_args(field.annotation)]
        for each in inside:
            if isinstance(each, type) and issubclass(each, BaseModel):
                yield from fields_of(each, f"{where}{name}.")


def test_a_field_that_is_new_raises_the_version() -> None:
    """An earlier program refuses a field that it does not know as wrong, where it should ask for a newer program."""
    known = json.loads((FORMATS / "fields.json").read_text(encoding="utf-8"))
    assert int(known["version"]) == VERSION
    assert sorted(fields_of(Plan)) == known["fields"], (
        "a field of the plan came or went: raise VERSION in prep/plan.py, keep a plan of it in tests/prep/formats and "
        "write its fields to fields.json there"
    )


@pytest.mark.parametrize("text", ["", "[1]", "{", '"x"', "\x00\x01", "[" * 100_000])
def test_what_is_no_plan_is_said_to_be_none(text: str, tmp_path: Path) -> None:
    (tmp_path / "x.json").write_text(text)
    with pytest.raises(PlanError, match="this is not a plan"):
        load_plan(tmp_path / "x.json")
    with pytest.raises(PlanError, match="cannot be read"):
        load_plan(tmp_path / "missing.json")


@pytest.mark.parametrize("failing", ["fsync", "replace"])
def test_a_write_that_fails_leaves_the_old_file(failing: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "plan.json"
    save_plan(parse_plan(CALM), path)
    before = path.read_bytes()

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(*((os, "fsync") if failing == "fsync" else (Path, "replace")), fail)
    with pytest.raises(OSError, match="No space"):
        save_plan(parse_plan(THREE_FLAVOURS), path)
    assert path.read_bytes() == before
    assert [each.name for each in tmp_path.iterdir()] == ["plan.json"]
