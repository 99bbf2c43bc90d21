"""Learning: the Gaussian update by hand, and the tau that explains what was seen."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import truncnorm

from studiotimer.mixes import mixes
from studiotimer.places import resource
from studiotimer.thermal.learn import (
    CALL_S,
    MIX_SD,
    RESIDUAL_SD,
    SCOOP_SD,
    SEEN_SD,
    SET_SD,
    Belief,
    observe,
    observe_later,
    seen_sd,
    tau_that_reaches,
)
from studiotimer.thermal.scoop import Piece, Scoop, changes, changes_of
from studiotimer.thermal.surroundings import cold_store, room

ROOM = room(22.0, 0.45, 3.0)
SCOOP = Scoop(mixes()["regular"], -18.0, ROOM, (Piece(cold_store(-40.0), 600.0), Piece(ROOM, 60.0)))


def seconds_by_tau(scoop, change, taus):
    every = changes_of([replace(scoop, tau=float(tau)) for tau in taus])
    return np.array([getattr(each, f"{change.replace(' ', '_')}_s") for each in every])


def test_prior():
    held = Belief().tau("vanilla")
    assert (held.mean, held.variance) == (0.0, pytest.approx(SET_SD**2 + MIX_SD**2))


def test_one_observation_by_hand():
    """Total variance 0.13, error 0.0225: gain 0.13 / 0.1525, shared 9 : 4 between set and mix."""
    belief = observe(Belief(), "vanilla", 0.2)
    total = SET_SD**2 + MIX_SD**2
    gain = total / (total + SEEN_SD**2)
    assert belief.tau("vanilla").mean == pytest.approx(0.2 * gain)
    assert belief.tau("vanilla").variance == pytest.approx(total * (1 - gain))
    assert belief.mean[0] == pytest.approx(0.2 * SET_SD**2 / (total + SEEN_SD**2))
    assert belief.tau("mint").mean == pytest.approx(belief.mean[0])
    assert belief.tau("mint").stdev > belief.tau("vanilla").stdev


def test_parts_are_updated_together():
    """The same as conditioning the joint normal on all observations at once."""
    seen = [("a", 0.3), ("b", -0.1), ("a", 0.25), ("c", 0.1)]
    belief = Belief()
    for mix, tau in seen:
        belief = observe(belief, mix, tau)
    prior = np.diag([SET_SD**2, MIX_SD**2, MIX_SD**2, MIX_SD**2])
    rows = np.array([[1.0, *(float(mix == name) for name in "abc")] for mix, _ in seen])
    cross = prior @ rows.T
    gain = cross @ np.linalg.inv(rows @ cross + SEEN_SD**2 * np.eye(4))
    assert belief.mixes == ("a", "b", "c")
    assert belief.mean == pytest.approx(gain @ np.array([tau for _, tau in seen]))
    assert np.array(belief.covariance) == pytest.approx(prior - gain @ cross.T)


@pytest.mark.parametrize("least", [-0.9, 0.0, 0.3, 0.8])
def test_a_change_not_yet_seen_cuts_the_normal_off(least):
    """Mean and spread of what is left, by scipy's truncated normal, where the look tells tau without an error."""
    total = math.hypot(SET_SD, MIX_SD)
    left = truncnorm((least - 0.0) / total, np.inf, loc=0.0, scale=total)
    held = observe_later(Belief(), "vanilla", least, sd=1e-6).tau("vanilla")
    assert held.mean == pytest.approx(left.mean(), abs=1e-4)
    assert held.stdev == pytest.approx(left.std(), abs=1e-4)


def test_a_change_not_yet_seen_says_less_the_less_sure_the_look():
    sure, unsure = (observe_later(Belief(), "vanilla", 0.2, sd).tau("vanilla") for sd in (0.1, 0.5))
    assert sure.mean > unsure.mean > 0.0
    assert sure.stdev < unsure.stdev < Belief().tau("vanilla").stdev
    nothing = observe_later(Belief(), "vanilla", -2.0, 0.2).tau("vanilla")
    assert (nothing.mean, nothing.stdev) == pytest.approx((0.0, Belief().tau("vanilla").stdev), abs=1e-3)


def test_a_bound_far_beyond_what_can_be_is_taken_within_limits():
    held = observe_later(Belief(), "vanilla", 50.0, 0.15).tau("vanilla")
    assert math.isfinite(held.mean)
    assert 1.0 < held.mean < 2.5
    assert held.stdev > 0.0


def test_band_is_ordered_and_narrows():
    low, middle, high = Belief().band("vanilla")
    assert low < middle == 0.0 < high
    assert high == pytest.approx(1.2816 * math.hypot(SET_SD, MIX_SD), rel=1e-4)
    after = observe(observe(Belief(), "vanilla", 0.1), "vanilla", 0.1).band("vanilla")
    assert after[2] - after[0] < high - low


@pytest.mark.parametrize("look", ["sheen", "edges", "first drip", "slump"])
def test_tau_that_explains_what_was_seen(look):
    seen = float(seconds_by_tau(SCOOP, look, [0.37])[0])
    assert tau_that_reaches(lambda taus: seconds_by_tau(SCOOP, look, taus), seen) == pytest.approx(0.37, abs=0.003)


def test_tau_slows_everything():
    """Without a history, every time on set is exp(tau) times as long."""
    plain = changes(SCOOP.mix, -18.0, ROOM)
    slow = changes(SCOOP.mix, -18.0, ROOM, tau=0.3)
    assert slow.edges_s == pytest.approx(plain.edges_s * math.exp(0.3))
    assert slow.slump_s == pytest.approx(plain.slump_s * math.exp(0.3), rel=1e-6)


def test_times_by_tau_agree_with_changes():
    found = changes(SCOOP.mix, SCOOP.start_c, ROOM, SCOOP.history, tau=-0.2)
    assert float(seconds_by_tau(SCOOP, "edges", [-0.2])[0]) == pytest.approx(found.edges_s)
    assert float(seconds_by_tau(SCOOP, "slump", [-0.2])[0]) == pytest.approx(found.slump_s, rel=1e-6)


def test_tau_is_held_within_limits():
    assert tau_that_reaches(lambda taus: np.full_like(taus, np.inf), 60.0) == -2.0
    assert tau_that_reaches(lambda taus: np.zeros_like(taus), 60.0) == 2.0


def test_what_it_believes_before_anything_is_seen_is_what_the_help_says():
    page = " ".join(resource("help", "working-time.md").read_text(encoding="utf-8").split())
    assert f"tau is a part of the set, N(0, {SET_SD:.2f}²), and a part of the mix, N(0, {MIX_SD:.2f}²)." in page
    assert f"a difference of each scoop, N(0, {SCOOP_SD:.2f}²)" in page
    assert "r = 0 sheen, 0.10 edges, 0.40 first drip, 0.30 slump" in page
    assert RESIDUAL_SD == {"sheen": 0.0, "edges": 0.10, "first drip": 0.40, "slump": 0.30}
    assert f"with error N(0, {SEEN_SD:.2f}² + ({CALL_S:g} s / seconds on set)² + r² + {SCOOP_SD:.2f}²)" in page
    for look, residual in RESIDUAL_SD.items():
        assert seen_sd(look, 30.0) == pytest.approx(math.sqrt(0.15**2 + 0.1**2 + residual**2 + 0.1**2))
