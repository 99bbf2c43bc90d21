"""Battery and disk: said once, in time, and again only after it was well in between."""

from pathlib import Path

import pytest

from studiotimer.session.supplies import LITTLE_DISK, Supplies, Told, supplies


def test_what_this_machine_has_is_read(tmp_path):
    now = supplies(tmp_path)
    assert now.free_bytes > 0
    assert now.battery is None or 0 <= now.battery <= 1
    assert supplies(Path("/nowhere/at/all")).free_bytes is None


def test_each_thing_is_said_once_and_the_worst_of_the_battery_alone():
    told = Told()
    assert told.news(Supplies(0.9, True, 10**12)) == []
    assert told.news(Supplies(0.89, False, 10**12)) == ["The charger is out; battery 89 %."]
    assert told.news(Supplies(0.5, False, 10**12)) == []
    assert told.news(Supplies(0.3, False, 10**12)) == ["Battery 30 %: plug the charger in soon."]
    assert told.news(Supplies(0.29, False, 10**12)) == []
    assert told.news(Supplies(0.1, False, 10**12)) == ["Battery 10 %: plug the charger in now."]
    assert told.news(Supplies(0.1, True, 10**12)) == []
    assert told.news(Supplies(0.08, False, 10**12)) == ["Battery 8 %: plug the charger in now."]


def test_a_nearly_full_disk_is_said_beside_the_battery():
    first, second = Told().news(Supplies(0.2, False, 40_000_000))
    assert first == "Battery 20 %: plug the charger in soon."
    assert second == "The disk with the session is nearly full, 40 MB left; make room on it."


@pytest.mark.parametrize(
    "now", [Supplies(), Supplies(free_bytes=LITTLE_DISK), Supplies(0.05, None), Supplies(1.0, True)]
)
def test_what_is_well_or_not_known_is_not_said(now):
    assert Told().news(now) == []
