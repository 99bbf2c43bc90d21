from __future__ import annotations

import pytest

from studiotimer.prep.amounts import Amount, parse_amount
from studiotimer.prep.plan import PlanError, parse_plan
from tests.prep.plans import CALM


@pytest.mark.parametrize(
    ("text", "of", "value"),
    [
        ("20 g", "kg", 0.020), ("1.5kg", "kg", 1.5), ("2 oz", "kg", 0.45359237 / 8),
        ("15 ml", "m3", 15e-6), ("0,1 l", "m3", 1e-4), ("1 fl oz", "m3", 0.003785411784 / 128),
        ("2 tbsp", "m3", 0.003785411784 / 128), ("3 tsp", "m3", 0.003785411784 / 256),
        ("2 wafers", "wafers", 2.0), ("3", "pieces", 3.0), ("1 mint leaf", "mint leaf", 1.0),
    ],
)  # fmt: skip
def test_an_amount_is_weighed_measured_or_counted(text: str, of: str, value: float) -> None:
    assert parse_amount(text) == (pytest.approx(value), of)


def test_nothing_written_is_no_amount() -> None:
    assert parse_amount(" ") is None


@pytest.mark.parametrize("text", ["some", "-3 g", "0 g", "0", "200 kg", "3 g or 4 g", "nan g"])
def test_what_is_no_amount_is_said_with_what_would_be(text: str) -> None:
    values = CALM | {"shots": [{"name": "S", "heroes": [{"flavour": "Vanilla"}], "steps": [{"what": "sauce"}]}]}
    parse_plan(values)
    values["shots"][0]["steps"][0]["amount"] = text
    with pytest.raises(PlanError, match=r"shot 1 \(S\), step 1, amount: .*(write 20 g|give)"):
        parse_plan(values)


@pytest.mark.parametrize(
    ("amount", "metric", "us"),
    [
        (Amount(0.0601, "kg"), "70 g", "3 oz"), (Amount(1.2, "kg"), "1,200 g", "43 oz"),
        (Amount(0.0001, "kg"), "10 g", "1 oz"), (Amount(3 * 29.5735e-6, "m3"), "90 ml", "3 fl oz"),
        (Amount(2.1, "wafers"), "3 × wafers", "3 × wafers"),
    ],
)  # fmt: skip
def test_what_is_bought_is_rounded_up(amount: Amount, metric: str, us: str) -> None:
    assert (amount.text(), amount.text("US")) == (metric, us)


def test_more_scoops_take_more() -> None:
    assert Amount(0.02, "kg").times(4) == Amount(0.08, "kg")
