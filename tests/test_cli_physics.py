"""The commands that ask the physics: what they give, and what they say of bad input."""

import json
import subprocess
import sys

import pytest

from studiotimer.cli import main
from studiotimer.mixes import mixes
from studiotimer.units import duration

LIFE = [
    "life",
    "--mix",
    "superpremium",
    "--from",
    "-12C",
    "--room",
    "22C",
    "--humidity",
    "45",
    "--light",
    "LED 2000 lx",
]


def given(capsys, *argv):
    assert main([*argv, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_life(capsys):
    found = given(capsys, *LIFE)
    assert list(found) == ["sheen_s", "edges_s", "first_drip_s", "slump_s"]
    assert list(found.values()) == pytest.approx([62.8, 171.0, 275.7, 708.0], rel=0.005)


def test_life_with_every_option(capsys):
    plain = given(capsys, *LIFE)
    for option, value, longer in [
        ("--local-air", "6C", True),
        ("--draught", "0.2m/s", False),
        ("--tone", "dark", False),
        ("--width", "80mm", True),
        ("--edge", "1.5mm", True),
        ("--box", "20min", True),
        ("--tray", "2min", False),
        ("--carry", "20s", False),
    ]:
        found = given(capsys, *LIFE, option, value)
        assert (found["edges_s"] > plain["edges_s"]) is longer, option


def test_life_never(capsys):
    argv = ["life", "--mix", "regular", "--from", "-18C", "--room", "-15C", "--humidity", "80"]
    assert given(capsys, *argv) == {"sheen_s": None, "edges_s": None, "first_drip_s": None, "slump_s": None}
    assert main(argv) == 0
    assert capsys.readouterr().out.count("not within 3 h") == 4


FOOT = [*LIFE, "--on", "slate", "--plate", "8mm", "--plate-at", "22C", "--base", "36mm"]


def test_life_on_a_plate(capsys):
    found = given(capsys, *FOOT)
    assert found["foot_s"] == pytest.approx(9.6, rel=0.04)
    assert found["foot_sooner_s"] < found["foot_s"] < found["foot_later_s"]
    assert {name: found[name] for name in given(capsys, *LIFE)} == given(capsys, *LIFE)
    wider = given(capsys, *LIFE, "--on", "slate", "--base", "40mm")
    assert wider["foot_s"] < given(capsys, *LIFE, "--on", "slate")["foot_s"] < found["foot_s"]


@pytest.mark.parametrize(
    ("more", "says"),
    [(["--on", "slate", "--plate-at", "-18C"], "not within 15 min"), (["--on", "cone"], "none of its own")],
)
def test_life_with_no_foot(capsys, more, says):
    assert given(capsys, *LIFE, *more)["foot_s"] is None
    assert main([*LIFE, *more]) == 0
    assert says in capsys.readouterr().out


def test_life_as_text(capsys):
    found = given(capsys, *LIFE)
    assert main(LIFE) == 0
    lines = [line.split("  ", 1) for line in capsys.readouterr().out.splitlines()]
    names = ["sheen", "edges", "first drip", "slump"]
    assert [(name, time.strip()) for name, time in lines] == [
        (name, duration(found[f"{name.replace(' ', '_')}_s"])) for name in names
    ]


@pytest.mark.parametrize(
    ("name", "advised"), [("superpremium", -12.0), ("premium", -16.3), ("regular", -18.0), ("economy", -17.6)]
)
def test_freezer(capsys, name, advised):
    found = given(capsys, "freezer", "--mix", name)
    assert list(found) == ["advised_c", "network", "yield_layer_mm"]
    assert found["advised_c"] == pytest.approx(advised, abs=0.1)
    assert found["network"] == mixes()[name].network


def test_freezer_from_a_label_file(capsys, tmp_path):
    path = tmp_path / "carton.json"
    path.write_text(
        json.dumps({
            "label": {
                "serving_ml": 160, "serving_g": 106, "fat_g": 17, "carbohydrate_g": 21, "protein_g": 4,
                "total_sugars_g": 20, "added_sugars_g": 14, "ingredients": "cream, sugar, mono- and diglycerides",
            }
        })
    )  # fmt: skip
    assert main(["freezer", "--mix", str(path)]) == 0
    freezer, stands = capsys.readouterr().out.splitlines()
    assert freezer.startswith("carton: freezer at −1")
    assert stands == "structure (network) 0.40 of 0.85: melted, a layer of 0.8 mm stays on a slope"


def test_temper(capsys):
    argv = ["temper", "--mix", "superpremium", "--across", "240mm", "--depth", "250mm", "--delivered", "-8C"]
    found = given(capsys, *argv, "--freezer", "-12C")
    assert found["model_h"] == pytest.approx(21.2, rel=0.01)
    assert found["advised_h"] == 24
    slower = given(capsys, *argv, "--along", "300mm", "--freezer=-12C")
    assert slower["advised_h"] == slower["model_h"] > 24
    assert main([*argv, "--freezer", "-12C"]) == 0
    assert "plan 24 h" in capsys.readouterr().out


def test_dryice_is_the_closed_form(capsys):
    found = given(capsys, "dryice", "--mass", "2kg", "--form", "slab", "--room", "22C", "--hours", "3")
    side = 2 ** (1 / 3) - 10 * (22 + 97) * 6 / (3 * 571e3 * 1560 ** (2 / 3)) * 3 * 3600
    left = side**3
    heat = 10 * (22 + 97) * 6 * (left / 1560) ** (2 / 3)
    assert found["left_kg"] == pytest.approx(left, abs=1e-6)
    assert found["local_air_c"] == pytest.approx(22 - 0.15 * heat, abs=1e-3)


def test_dryice_with_a_reading(capsys):
    argv = ["dryice", "--mass", "4lb", "--form", "pellets", "--room", "72F", "--hours", "30min"]
    found = given(capsys, *argv, "--reading", "5C")
    assert found["local_air_c"] == pytest.approx(5.0)
    assert found["link_k_w"] == pytest.approx((22.2222 - 5) / found["heat_w"], rel=1e-3)


def test_co2(capsys):
    found = given(capsys, "co2", "--source", "0.5kg/h", "--volume", "120m3", "--changes", "2/h", "--hours", "4")
    gas = 0.5 * 8.314 * 293.15 / (0.04401 * 101325)
    assert found["ppm"] == pytest.approx(420 + 1e6 * gas / 240 * (1 - 2.718281828**-8), abs=0.1)


@pytest.mark.parametrize(
    "argv",
    [
        ["dryice", "--mass", "2kg", "--room", "22C", "--hours", "3"],
        ["co2", "--source", "0.5kg/h", "--volume", "120m3", "--changes", "2/h", "--hours", "4"],
    ],
)
def test_cautions_stand_wherever_dry_ice_is_shown(capsys, argv):
    assert main(argv) == 0
    text = capsys.readouterr().out
    assert all(word in text for word in ("gloves", "ventilated", "sealed", "monitor", "Local codes", "data sheet"))
    assert "all-clear" in text or "kg" in text


def test_sauce(capsys):
    argv = ["sauce", "--mix", "superpremium", "--edge-at", "-12C"]
    found = given(capsys, *argv, "--poured", "24C")
    assert found["ruffle_mm"] == pytest.approx(0.36, rel=0.05)
    assert not found["harmless"]
    assert 20 < found["advised_c"] < 24
    assert given(capsys, *argv, "--poured", "30C")["body_mm"] == pytest.approx(0.47, rel=0.05)
    assert main([*argv, "--poured", "10C"]) == 0
    assert capsys.readouterr().out.rstrip().endswith("harmless")
    assert main(["sauce", "--mix", "regular", "--edge-at", "-2C"]) == 0
    assert "no sauce is harmless" in capsys.readouterr().out


@pytest.mark.parametrize("command", ["life", "freezer", "temper", "dryice", "co2", "sauce"])
def test_help_explains_every_option_with_an_example(capsys, command):
    assert main([command, "--help"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    options = text.split("options:")[1].split(f"example: studiotimer {command}")[0]
    names = {word.rstrip(",") for word in options.split() if word.startswith("--")} - {"--help", "--json"}
    assert options.count("example: ") == len(names) >= 1


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (["freezer", "--mix", "nonesuch"], "mix: "),
        (["life", "--mix", "regular", "--from", "-18", "--room", "22C"], "from: "),
        (["life", "--mix", "regular", "--from", "-81C", "--room", "22C"], "from: "),
        (["life", "--mix", "regular", "--from", "-18C", "--room", "61C"], "room: "),
        ([*LIFE, "--humidity", "101"], "humidity: "),
        ([*LIFE, "--light", "glow worm 5 lx"], "light: "),
        ([*LIFE, "--width", "0mm"], "width: "),
        ([*LIFE, "--edge", "0mm"], "edge: "),
        ([*LIFE, "--draught", "9m/s"], "draught: "),
        ([*LIFE, "--local-air", "30C"], "local-air: "),
        ([*LIFE, "--on", "jelly"], "on: “jelly” is not something a scoop stands on; write one of slate, "),
        ([*LIFE, "--on", "slate", "--plate", "0mm"], "plate: 0 mm is not possible; give 0.2 to 100 mm"),
        ([*LIFE, "--on", "slate", "--base", "30cm"], "base: "),
        ([*LIFE, "--on", "slate", "--plate-at", "90C"], "plate-at: "),
        (["sauce", "--mix", "regular", "--edge-at", "-12C", "--poured", "200C"],
         "poured: 200 °C is not possible; give −20 to 110 °C"),
        ([*LIFE, "--plate", "8mm"], "plate: it is not told what the scoop stands on; add --on slate"),
        (["dryice", "--mass", "-1kg", "--room", "22C", "--hours", "1"], "mass: "),
        (["dryice", "--mass", "1kg", "--room", "22C", "--hours", "-1"], "hours: "),
        (["dryice", "--mass", "1kg", "--room", "22C", "--hours", "99", "--reading", "5C"], "reading: "),
        (["co2", "--source", "1kg/h", "--volume", "0m3", "--changes", "2/h", "--hours", "1"], "volume: "),
        (["co2", "--source", "1kg/h", "--volume", "9m3", "--changes", "2 lb", "--hours", "1"], "changes: "),
        (["co2", "--source", "1kg/h", "--volume", "9m3", "--changes", "2/h", "--hours", "1", "--start=-3"], "start: "),
        (["temper", "--mix", "regular", "--across", "3km", "--depth", "1m", "--delivered", "1C", "--freezer", "-9C"],
         "across: "),
    ],
)  # fmt: skip
def test_bad_input_is_one_sentence_and_exit_2(capsys, argv, says):
    assert main(argv) == 2
    caught = capsys.readouterr()
    assert caught.out == ""
    assert caught.err.startswith(f"studiotimer: {says}")
    assert caught.err.count("\n") == 1


def test_life_brings_nothing_of_sessions_and_no_masked_arrays():
    code = (
        "import sys; from studiotimer.cli import main; main(sys.argv[1:]); "
        "print(sorted(name for name in sys.modules if name.startswith(('studiotimer.session', 'numpy.ma.'))))"
    )
    given = ["life", "--mix", "premium", "--from=-16C", "--room", "22C"]
    done = subprocess.run([sys.executable, "-c", code, *given], capture_output=True, text=True, check=True, timeout=120)
    assert done.stdout.splitlines()[-1] == "[]"
