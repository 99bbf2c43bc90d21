"""What a shoot may run out of besides ice cream: the machine's battery and its disk."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import NamedTuple

LOW_BATTERY = 0.30
"""From here on it is said, from `LAST_BATTERY` on it is urgent (own rules)."""
LAST_BATTERY = 0.10  # own rule, as above
LITTLE_DISK = 500_000_000
"""Bytes: far more than a day's log, but a capture folder on the same disk fills it quickly (own rule)."""


class Supplies(NamedTuple):
    """The battery's charge (a fraction) and whether the charger is in, None without a battery; free bytes or None."""

    battery: float | None = None
    charging: bool | None = None
    free_bytes: int | None = None


def supplies(folder: Path) -> Supplies:
    """Return what this machine has now, and the disk that `folder` is on; it may take as long as a slow disk."""
    import psutil  # type: ignore[import-untyped]  # only when it is asked for: the window opens without

    battery = psutil.sensors_battery() if hasattr(psutil, "sensors_battery") else None
    try:
        free: int | None = shutil.disk_usage(folder).free
    except OSError:
        free = None
    if battery is None:
        return Supplies(None, None, free)
    return Supplies(battery.percent / 100.0, battery.power_plugged, free)


class Told:
    """Says each thing once, and again only after it was well in between."""

    def __init__(self) -> None:
        self._said: set[str] = set()

    def news(self, now: Supplies) -> list[str]:
        """Return what is to be said of `now` that was not said before, one sentence each."""
        wrong = _wrong(now)
        fresh = [words for what, words in wrong.items() if what not in self._said]
        self._said = set(wrong)
        return [*fresh[:1], *(words for words in fresh[1:] if words == wrong.get("disk"))]


def _wrong(now: Supplies) -> dict[str, str]:
    """Return what is wrong, the worst of the battery first."""
    found = {}
    if now.battery is not None and now.charging is False:
        share = f"{round(100 * now.battery)} %"
        if now.battery <= LAST_BATTERY:
            found["last"] = f"Battery {share}: plug the charger in now."
        if now.battery <= LOW_BATTERY:
            found["low"] = f"Battery {share}: plug the charger in soon."
        found["out"] = f"The charger is out; battery {share}."
    if now.free_bytes is not None and now.free_bytes < LITTLE_DISK:
        left = f"{now.free_bytes / 1e6:,.0f} MB"
        found["disk"] = f"The disk with the session is nearly full, {left} left; make room on it."
    return found
