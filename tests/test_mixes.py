"""Mixes from the table, from recipes and from carton labels, and what is said of bad ones."""

import json
from math import pi

import pytest

from studiotimer.lamps import lamp, lamps, parse_light, told
from studiotimer.mix_table import BOOK_MEAN, BOOK_SD, names, rows
from studiotimer.mixes import find_mix, mix_from_data, mix_from_file, mixes
from studiotimer.places import resource
from studiotimer.thermal.label import mix_from_label
from studiotimer.thermal.learn import MIX_SD
from studiotimer.thermal.light import TUNGSTEN_LM_W
from studiotimer.thermal.mix import Mix, MixError
from studiotimer.thermal.properties import density
from studiotimer.units import UnitError

LABEL = {
    "serving_ml": 160.0,
    "serving_g": 106.0,
    "fat_g": 17.0,
    "carbohydrate_g": 21.0,
    "protein_g": 4.0,
    "total_sugars_g": 20.0,
    "added_sugars_g": 14.0,
}
RECIPE = {"fat": 14, "msnf": 10, "sucrose": 14, "css": 3, "stab": 0.25, "other": 0.13, "overrun_percent": 65}


NETWORKS = {
    "superpremium": 0.10, "premium": 0.30, "regular": 0.50, "economy": 0.80, "low-fat": 0.50, "nonfat": 0.30,
    "gelato": 0.15, "sherbet": 0.10, "sorbet": 0.00,
}  # fmt: skip


def test_each_class_has_a_source_and_those_known_are_there():
    rows = json.loads(resource("mixes.json").read_text(encoding="utf-8"))["mixes"]
    assert tuple(row["name"] for row in rows) == tuple(mixes()) == names()
    assert all(row["source"].strip() for row in rows)
    assert all(row["network_reason"].startswith("own rule: ") for row in rows)
    assert {name: mix.network for name, mix in mixes().items()} == {row["name"]: row["network"] for row in rows}
    assert NETWORKS.items() <= {row["name"]: row["network"] for row in rows}.items()


def test_a_mix_is_one_row(monkeypatch, tmp_path):
    table = json.loads(resource("mixes.json").read_text(encoding="utf-8"))
    table["mixes"].append({**table["mixes"][1], "name": "frozen custard"})
    (tmp_path / "mixes.json").write_text(json.dumps(table), encoding="utf-8")
    monkeypatch.setattr("studiotimer.mix_table.resource", tmp_path.joinpath)
    made = (rows, names, mixes)
    for one in made:
        one.cache_clear()
    try:
        assert names()[-1] == "frozen custard"
        assert find_mix("Frozen custard") is mixes()["frozen custard"]
    finally:
        for one in made:
            one.cache_clear()


@pytest.mark.parametrize(
    ("overrun", "emulsifier", "network"),
    [
        (0, "none", 0.015),
        (30, "egg", 0.15),
        (95, None, 0.4425),
        (95, "mono- and diglycerides", 0.5425),
        (95, "Polysorbate 80", 0.7425),
        (200, "polysorbate", 0.85),
    ],
)
def test_a_recipe_without_a_class_has_its_network_by_overrun_and_emulsifier(overrun, emulsifier, network):
    told = {} if emulsifier is None else {"emulsifier": emulsifier}
    assert mix_from_data({**RECIPE, "overrun_percent": overrun, **told}).network == pytest.approx(network)


def test_a_recipe_that_knows_its_network_says_so():
    assert mix_from_data({**RECIPE, "network": 0.4, "emulsifier": "polysorbate"}).network == 0.4


@pytest.mark.parametrize(
    ("words", "emulsifier"),
    [
        ("", "none"),
        ("cream, skim milk, sugar, vanilla, guar gum, carob bean gum", "none"),
        ("Cream, sugar, EGG YOLKS", "egg"),
        ("milk, soya lecithin", "egg"),
        ("cream (milk), mono and diglycerides, guar gum", "mono- and diglycerides"),
        ("mono- & di-glycerides of fatty acids", "mono- and diglycerides"),
        ("glycerol monostearate", "mono- and diglycerides"),
        ("emulsifier: E471, stabilisers: E410, E412", "mono- and diglycerides"),
        ("monoglycerides, egg yolk", "mono- and diglycerides"),
        ("mono and diglycerides, polysorbate 80, carrageenan", "polysorbate"),
        ("emulsifiers (E 433, E471)", "polysorbate"),
        ("cream, sugar, egg yolks. Contains no polysorbate 80, no mono- and diglycerides.", "egg"),
        ("without emulsifiers such as E471, milk, sugar", "none"),
        ("veggie fat, E4712, eggplant", "none"),
    ],
)
def test_an_emulsifier_is_found_among_the_ingredients(words, emulsifier):
    assert mix_from_data({"label": {**LABEL, "ingredients": words}}, "carton").emulsifier == emulsifier
    assert mix_from_data({**RECIPE, "ingredients": words}, "house").emulsifier == emulsifier


def test_a_label_s_structure_follows_from_its_air_and_its_emulsifier():
    plain = mix_from_data({"label": LABEL}, "carton")
    emulsified = mix_from_data({"label": {**LABEL, "emulsifier": "polysorbate"}}, "carton")
    assert plain.network == pytest.approx(0.15 + 0.45 * (plain.overrun - 0.3))
    assert emulsified.network == pytest.approx(plain.network + 0.3)


def test_a_class_is_found_however_it_is_written():
    assert find_mix("Low fat") is mixes()["low-fat"]
    assert find_mix("super-premium") is mixes()["superpremium"]
    assert find_mix(" REGULAR ") is mixes()["regular"]


def test_recipe():
    mix = mix_from_data({"recipe": RECIPE}, "house")
    assert (mix.name, mix.overrun, mix.water) == ("house", 0.65, pytest.approx(58.62))
    assert mix_from_data(RECIPE, "house") == mix


def test_label_by_hand():
    """Every share worked out by hand from the label's grams."""
    mix = mix_from_data({"label": LABEL}, "carton")
    share = 100 / 106.0
    msnf = 4.0 / 0.37
    assert mix.fat == pytest.approx(17 * share)
    assert mix.msnf == pytest.approx(msnf * share)
    assert mix.sucrose == pytest.approx(14 * share)
    assert mix.stab == 0.3
    assert mix.other == pytest.approx((21 - 0.545 * msnf - 14) * share - 0.3)
    assert mix.water == pytest.approx(100 - (17 + 21 + 4 + 0.085 * msnf) * share)
    assert density(mix) == pytest.approx(1000 * 106 / 160)


def test_label_without_added_sugars_takes_lactose_from_the_total():
    without = {name: value for name, value in LABEL.items() if name != "added_sugars_g"}
    mix = mix_from_data(without, "carton")
    assert mix.sucrose == pytest.approx((20 - 0.545 * 4 / 0.37) * 100 / 106)


def test_label_whose_sugars_leave_nothing_else_keeps_its_water():
    mix = mix_from_data({**LABEL, "carbohydrate_g": 20.0, "total_sugars_g": 20.0, "added_sugars_g": 15.0}, "carton")
    assert mix.other == 0.0
    assert mix.water == pytest.approx(100 - (17 + 20 + 4 + 0.085 * 4 / 0.37) * 100 / 106)


@pytest.mark.parametrize(
    ("change", "field", "limit"),
    [
        ({"fat_g": 90.0}, "serving_g", "106"),
        ({"total_sugars_g": 22.0}, "total_sugars_g", "21"),
        ({"added_sugars_g": 20.5}, "added_sugars_g", "20"),
        ({"serving_ml": 90.0}, "serving_ml", "0 to 200 %"),
        ({"serving_ml": 400.0}, "serving_ml", "400 ml at 106 g means an overrun of 307 %; it must be from 0 to 200 %"),
        ({"serving_g": 0.0}, "serving_g", "greater than 0"),
        ({"protein_g": -1.0}, "protein_g", "0"),
        ({"stab_percent": -1.0}, "stab", "0"),
        ({"fat": 3.0}, "fat", "not permitted"),
        ({"fat_g": "much"}, "fat_g", "number"),
        ({"emulsifier": "soap"}, "emulsifier", "mono- and diglycerides or polysorbate"),
        ({"emulsifier": 3}, "emulsifier", "string"),
    ],
)
def test_bad_labels(change, field, limit):
    with pytest.raises(MixError) as caught:
        mix_from_data({"label": {**LABEL, **change}}, "carton")
    message = str(caught.value)
    assert message.startswith(field)
    assert limit in message
    assert "\n" not in message


@pytest.mark.parametrize(
    ("change", "field", "limit"),
    [
        ({"sucrose": 80}, "recipe", "100 %"),
        ({"fat": -1}, "fat", "0 to 100 %"),
        ({"fat": 120}, "fat", "0 to 100 %"),
        ({"fat": float("nan")}, "fat", "0 to 100 %"),
        ({"overrun_percent": 201}, "overrun", "0 to 200 %"),
        ({"overrun_percent": -1}, "overrun", "0 to 200 %"),
        ({"css_de": 101}, "css_de", "0 to 100"),
        ({"sucrose": 70}, "sucrose and milk solids", "-35 °C"),
        ({"sucrose": 72.62}, "water", "below 100 %"),
        ({"sugar": 3}, "sugar", "not permitted"),
        ({"network": 0.9}, "network", "0 to 0.85"),
        ({"emulsifier": "soap"}, "emulsifier", "none, egg,"),
    ],
)
def test_bad_recipes(change, field, limit):
    with pytest.raises(MixError) as caught:
        mix_from_data({"recipe": {**RECIPE, **change}}, "house")
    message = str(caught.value)
    assert message.startswith(field)
    assert limit in message
    assert "\n" not in message


def test_a_mix_of_solids_only_never_freezes():
    with pytest.raises(MixError, match=r"water: .* never freezes"):
        Mix("dry", fat=50, sucrose=50)


def test_label_in_python_refuses_an_empty_serving():
    with pytest.raises(MixError, match="serving_ml"):
        mix_from_label(
            "x", volume_ml=0, mass_g=100, fat_g=1, carbohydrate_g=20, protein_g=3, total_sugars_g=15
        )  # fmt: skip
    with pytest.raises(MixError, match="serving_g"):
        mix_from_label("x", volume_ml=1, mass_g=-1, fat_g=1, carbohydrate_g=20, protein_g=3, total_sugars_g=15)


def test_files(tmp_path):
    path = tmp_path / "house.json"
    path.write_text(json.dumps({"recipe": RECIPE}), encoding="utf-8")
    assert mix_from_file(path) == find_mix(str(path))
    assert find_mix(str(path)).name == "house"
    path.write_text("not json", encoding="utf-8")
    with pytest.raises(MixError, match="not a JSON file"):
        find_mix(str(path))
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(MixError, match="not a JSON file"):
        find_mix(str(path))
    path.write_text("[1]", encoding="utf-8")
    with pytest.raises(MixError, match="recipe or a label"):
        find_mix(str(path))
    path.write_text('{"recipe": 3}', encoding="utf-8")
    with pytest.raises(MixError, match="recipe or a label"):
        find_mix(str(path))
    with pytest.raises(MixError, match="cannot be read"):
        find_mix(str(tmp_path / "none.json"))
    with pytest.raises(MixError, match="superpremium, premium"):
        find_mix("nonesuch")


def test_the_help_page_shows_files_that_work(tmp_path):
    page = resource("help", "mix-files.md").read_text(encoding="utf-8")
    examples = [block.split("```")[0] for block in page.split("```json")[1:]]
    assert len(examples) == 2
    for text in examples:
        (tmp_path / "example.json").write_text(text, encoding="utf-8")
        assert find_mix(str(tmp_path / "example.json")).name in ("house vanilla", "carton vanilla")


def test_lamps_each_with_a_source():
    rows = json.loads(resource("lamps.json").read_text(encoding="utf-8"))["lamps"]
    assert [row["kind"] for row in rows] == list(lamps()) == ["LED", "daylight", "HMI", "tungsten", "flash"]
    assert lamps()["tungsten"].lumens_per_watt == lamps()["flash"].lumens_per_watt == TUNGSTEN_LM_W
    assert all(row["source"].strip() for row in rows)


@pytest.mark.parametrize(
    ("text", "kind", "lux"),
    [
        ("LED 2000 lx", "LED", 2000),
        ("led 2,000 lux", "LED", 2000),
        ("tungsten EV 12", "tungsten", 2.5 * 2**12),
        ("tungsten 12 EV", "tungsten", 2.5 * 2**12),
        ("daylight 10 klx", "daylight", 10_000),
        ("LED 200 fc", "LED", 200 / 0.3048**2),
        ("hot light 20000 lx", "tungsten", 20_000),
        ("LED 1,5 klx", "LED", 1500),
        ("window light 800 lx", "daylight", 800),
        ("HMI EV 11", "HMI", 2.5 * 2**11),
        ("hmi", "HMI", 6000),
        ("LED", "LED", 2000),
        ("Window  Light", "daylight", 2000),
        ("hot lights", "tungsten", 5000),
        ("strobe", "flash", 0),
        ("flash, modelling off", "flash", 0),
        ("Strobe 640 lx", "flash", 640),
        ("flash, modelling 250 W", "flash", 34 * 250 * 0.9 / (4 * pi)),
        ("studio flash with modelling lamp 250W at 2 m", "flash", 34 * 250 * 0.9 / (16 * pi)),
        ("monolight 250 watts modeling light at 50cm", "flash", 34 * 250 * 0.9 / pi),
        ("strobe, LED modelling 60 W at 1 m", "flash", 17 * 60 * 0.9 / (4 * pi)),
    ],
)
def test_light(text, kind, lux):
    found = parse_light(text)
    assert (found.lamp.kind, found.lux) == (kind, pytest.approx(lux))


def test_no_light():
    assert parse_light("none") is None
    assert parse_light("off") is None
    assert parse_light("Flash").absorbed("dark") == 0.0


def test_where_no_meter_was_read_the_usual_value_says_so():
    assert parse_light("HMI").usual
    assert not parse_light("HMI 6000 lx").usual
    assert told("HMI", 6000, usual=True) == "HMI 6,000 lx as usual"
    assert parse_light("HMI 6000 lx as usual").lux == 6000
    assert told("flash", 0) == "flash"
    assert told("flash", 640) == "flash, modelling 640 lx"


@pytest.mark.parametrize("kind", ["LED", "daylight", "HMI", "tungsten"])
def test_what_is_told_of_a_light_can_be_written(kind):
    assert parse_light(told(kind, 1500)).lux == 1500


def test_absorbed_heat():
    """Half of what the lamp's light gives that tone: 2,000 lx / 300 lm/W x 0.25 / 2."""
    assert parse_light("LED 2000 lx").absorbed("pale") == pytest.approx(2000 / 300 * 0.25 / 2)
    assert parse_light("LED 2000 lx").absorbed("dark") == pytest.approx(2000 / 300 * 0.85 / 2)
    assert parse_light("daylight 2100 lx").absorbed("mid") == pytest.approx(2100 / 105 * 0.55 / 2)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("candle 20 lx", "LED, daylight, HMI, tungsten, flash"),
        ("candle", "LED, daylight, HMI, tungsten, flash"),
        ("flash, bright", "write flash, modelling 250 W at 1 m"),
        ("flash, modelling 30000 W", "20,000 W"),
        ("flash, modelling 250 W at 1 C", "length"),
        ("flash, modelling 20000 W at 0.1 m", "100,000"),
        ("LED 200001 lx", "100,000"),
        ("LED -5 lx", "give 0 to 100,000 lx"),
        ("LED EV 99", "EV −10 to 15"),
        ("LED ..., lx", "is not a number"),
    ],
)
def test_bad_light(text, says):
    with pytest.raises(UnitError) as caught:
        parse_light(text)
    assert str(caught.value).startswith("light")
    assert says in str(caught.value)


def test_unknown_lamp():
    with pytest.raises(UnitError, match="is not a lamp"):
        lamp("moon")


def test_what_a_recipe_does_not_name_is_not_in_it():
    mix = mix_from_data({"overrun_percent": 50})
    parts = (mix.fat, mix.msnf, mix.sucrose, mix.css, mix.dextrose, mix.whey, mix.stab, mix.other)
    assert parts == (0.0,) * 8
    assert (mix.water, mix.css_de, mix.overrun) == (100.0, 42.0, 0.5)


@pytest.mark.parametrize("part", ["fat_g", "protein_g", "added_sugars_g"])
@pytest.mark.parametrize("mass", [0.0, 0.4])
def test_a_label_may_state_none_or_hardly_any_of_a_part(part, mass):
    assert mix_from_data({"label": {**LABEL, part: mass}}, "carton").fat == pytest.approx(
        mass / 1.06 if part == "fat_g" else 17.0 / 1.06
    )


@pytest.mark.parametrize("sugars", [0.0, 0.4])
def test_a_label_may_state_hardly_any_carbohydrate(sugars):
    label = {**LABEL, "carbohydrate_g": sugars, "total_sugars_g": sugars, "added_sugars_g": sugars, "protein_g": 0.0}
    assert mix_from_data({"label": label}, "carton").sucrose == pytest.approx(sugars / 1.06)


def test_before_anything_is_learned_a_mix_is_as_the_physics_takes_it():
    assert (BOOK_MEAN, BOOK_SD) == (0.0, MIX_SD) == (0.0, 0.20)


def test_a_long_word_for_an_emulsifier_is_cut_where_it_is_said_to_be_unknown():
    with pytest.raises(MixError) as caught:
        mix_from_data({**RECIPE, "emulsifier": "x" * 60})
    assert f"“{'x' * 40}” is not known" in str(caught.value)


def test_a_long_name_of_a_mix_is_cut_where_it_is_said_to_be_unknown():
    with pytest.raises(MixError, match=f"mix: “{'x' * 40}” is not known; write one of "):
        find_mix("x" * 60)
