from __future__ import annotations

import pytest
from scipy import stats

from studiotimer.prep.chance import chance_of, pulls_for


@pytest.mark.parametrize("good", [1, 2, 9, 15, 60])
@pytest.mark.parametrize("share", [0.05, 1 / 3, 0.5, 0.9, 1.0])
@pytest.mark.parametrize("confidence", [0.5, 0.95, 0.999])
def test_pulls_are_the_quantile_of_the_negative_binomial(good: int, share: float, confidence: float) -> None:
    """scipy.stats.nbinom counts the failures before the last success."""
    assert pulls_for(good, share, confidence) == good + int(stats.nbinom.ppf(confidence, good, share))


@pytest.mark.parametrize(("good", "pulls", "share"), [(1, 1, 0.2), (9, 40, 1 / 3), (12, 30, 0.5), (50, 400, 0.1)])
def test_chance_is_its_distribution_function(good: int, pulls: int, share: float) -> None:
    assert chance_of(good, pulls, share) == pytest.approx(stats.nbinom.cdf(pulls - good, good, share), rel=1e-9)


def test_many_are_counted_as_fast_and_as_exactly() -> None:
    pulls = pulls_for(5000, 0.25, 0.95)
    assert pulls == 5000 + int(stats.nbinom.ppf(0.95, 5000, 0.25))
    assert chance_of(5000, pulls, 0.25) == pytest.approx(stats.nbinom.cdf(pulls - 5000, 5000, 0.25), rel=1e-7)


def test_nothing_wanted_needs_nothing() -> None:
    assert pulls_for(0, 0.3, 0.95) == 0
    assert chance_of(0, 0, 0.3) == 1.0
    assert chance_of(3, 2, 0.3) == 0.0


@pytest.mark.parametrize(("good", "share", "confidence"), [(1, 0.0, 0.9), (1, 1.2, 0.9), (1, 0.5, 1.0), (-1, 0.5, 0.9)])
def test_what_cannot_be_is_refused(good: int, share: float, confidence: float) -> None:
    with pytest.raises(ValueError, match="share"):
        pulls_for(good, share, confidence)
