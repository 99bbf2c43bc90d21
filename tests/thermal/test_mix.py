"""What a mix is made of, as its recipe says."""

import pytest

from studiotimer.thermal.mix import Mix, MixError


def test_whey_counts_as_milk_solids_with_a_protein_of_its_own():
    """By hand: protein is 0.37 of msnf and 0.12 of whey (memory), ash 0.085 of both, and both lower freezing by salts."""
    mix = Mix("house", fat=10, msnf=10, whey=5, sucrose=12, css=4, stab=0.3)
    assert mix.protein == pytest.approx(3.7 + 0.6)
    assert mix.ash == pytest.approx(0.085 * 15)
    assert mix.salts == 15
    assert mix.water == pytest.approx(100 - 10 - 15 - 12 - 4 - 0.3)
    assert mix.water + mix.fat + mix.protein + mix.ash + mix.carbohydrate == pytest.approx(100.0)
    assert mix.sucrose_equivalent > Mix("house", fat=10, msnf=10, sucrose=12, css=4, stab=0.3).sucrose_equivalent


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({"css_de": 0.0}, None),
        ({"css_de": 0.5}, None),
        ({"css_de": 100.0}, None),
        ({"css_de": -0.5}, "css_de: -0.5 is not possible; give 0 to 100"),
        ({"css_de": 100.5}, "css_de: 100.5 is not possible; give 0 to 100"),
        ({"overrun": 0.0}, None),
        ({"overrun": 2.0}, None),
        ({"overrun": -0.01}, "overrun: -1 % is not possible; give 0 to 200 %"),
        ({"overrun": 2.01}, "overrun: 201 % is not possible; give 0 to 200 %"),
        ({"stab": 0.0}, None),
        ({"stab": -0.1}, "stab: -0.1 % is not possible; give 0 to 100 %"),
        ({"fat": 101.0}, "fat: 101 % is not possible; give 0 to 100 %"),
        ({"fat": float("nan")}, "fat: nan % is not possible; give 0 to 100 %"),
    ],
)
def test_a_share_is_from_nothing_to_all_and_overrun_up_to_two_hundred(values, says):
    recipe = {"fat": 10.0, "msnf": 10.0, "sucrose": 12.0, "css": 4.0, "stab": 0.3} | values
    if says is None:
        assert Mix("house", **recipe).name == "house"
    else:
        with pytest.raises(MixError) as refused:
            Mix("house", **recipe)
        assert str(refused.value).startswith(says)


def test_nothing_is_left_for_carbohydrate_where_a_label_states_all():
    """By definition: what remains of 100; a label's own rounding makes it no less than nothing."""
    assert Mix("fat and water", fat=20.0, sucrose=12.0).carbohydrate == pytest.approx(12.0)
    assert Mix("rounded up", fat=20.0, sucrose=12.0, water_stated=80.5).carbohydrate == 0.0
    assert Mix("whole", fat=20.0, sucrose=12.0, water_stated=70.0).carbohydrate == pytest.approx(10.0)
