"""Dry ice and CO2 against safety pages and analytic balances."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from studiotimer.thermal.charge import LIMITS_PPM
from studiotimer.thermal.co2 import gas_m3_kg, ppm_after, sublimation_kg_s

POUND, CUBIC_FOOT = 0.45359237, 0.3048**3


def test_gas_of_a_pound_of_dry_ice():
    """University of Maine at Fort Kent, dry ice safety page: 1 lb makes 8.8 cubic feet of gas, within 2 %."""
    assert POUND * gas_m3_kg(20.0) / CUBIC_FOOT == pytest.approx(8.8, rel=0.02)


def test_gas_of_ten_kilograms_of_dry_ice():
    """University of York, dry ice safety page: 10 kg makes 5.4 m3 of gas, within 3 %."""
    assert 10 * gas_m3_kg(20.0) == pytest.approx(5.4, rel=0.03)


def test_one_ppm_in_mg_per_cubic_metre():
    """NIOSH Pocket Guide to Chemical Hazards, carbon dioxide: 1 ppm = 1.80 mg/m3 (at 25 °C), within 1 %."""
    assert 1e-6 / gas_m3_kg(25.0) * 1e6 == pytest.approx(1.80, rel=0.01)


def test_limits():
    """NIOSH Pocket Guide to Chemical Hazards, carbon dioxide: REL 5,000, STEL 30,000, IDLH 40,000 ppm."""
    assert list(LIMITS_PPM.values()) == [5_000.0, 30_000.0, 40_000.0]


def test_steady_room():
    """Mass balance: in the end the room holds 420 ppm plus source over ventilation."""
    source, volume, changes = 0.5 / 3600, 120.0, 2 / 3600
    steady = 420 + 1e6 * source * gas_m3_kg(22.0) / (changes * volume)
    found = ppm_after(900.0, source, 1e6, volume_m3=volume, changes_per_s=changes, room_c=22.0)
    assert float(found) == pytest.approx(steady, rel=1e-9)


def test_room_on_the_way():
    """Mass balance integrated by scipy's solve_ivp."""
    source, volume, changes = 1.0 / 3600, 60.0, 0.7 / 3600
    flow = source * gas_m3_kg(22.0)
    run = solve_ivp(
        lambda _, c: (1e6 * flow - changes * volume * (c - 420.0)) / volume, (0, 7200.0), [800.0], rtol=1e-9, atol=1e-6
    )
    found = ppm_after(800.0, source, 7200.0, volume_m3=volume, changes_per_s=changes, room_c=22.0)
    assert float(found) == pytest.approx(run.y[0, -1], rel=1e-6)


@pytest.mark.parametrize(("area_m2", "wall_m"), [(0.45, 0.05), (0.5, 0.05), (0.6, 0.05)])
def test_loss_of_a_chest(area_m2, wall_m):
    """Dry-ice suppliers' guidance (from memory): a usual chest loses 5 to 10 lb a day.

    A usual chest: inner surface about half a square metre, 5 cm of foam of 0.024 W/(m K) (from memory), room at 22 °C.
    """
    leak = area_m2 * 0.024 / wall_m * (22.0 - -78.5)
    assert 5.0 <= float(sublimation_kg_s(leak)) * 86_400 / POUND <= 10.0


def test_warm_room_is_not_below_outdoor_air():
    """Mass balance: without a source a room comes down to outdoor air, and a room without renewal keeps its CO2."""
    times = np.array([0.0, 3600.0, 1e7])
    falling = ppm_after(2000.0, 0.0, times, volume_m3=50.0, changes_per_s=1 / 3600)
    assert falling[0] == 2000.0
    assert falling[-1] == pytest.approx(420.0)
    assert ppm_after(2000.0, 0.0, times, volume_m3=50.0, changes_per_s=0.0) == pytest.approx([2000.0] * 3)
