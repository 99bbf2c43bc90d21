"""System libraries that Qt needs on Linux, checked before it ends the program over a missing one."""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Callable, Mapping

PACKAGES = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libfontconfig.so.1": "libfontconfig1",
    "libdbus-1.so.3": "libdbus-1-3",
}
X11_PACKAGES = {
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
}
STILL = "life, freezer, temper, dryice, co2, verify and call work without it"


def what_is_missing(
    environment: Mapping[str, str] = os.environ,
    load: Callable[[str], object] = ctypes.CDLL,
    platform: str = sys.platform,
) -> str | None:
    """Return one sentence on why no window can open and what brings it, or None when nothing is missing."""
    if platform != "linux":
        return None
    chosen = environment.get("QT_QPA_PLATFORM", "")
    drawn_aside = chosen in ("offscreen", "minimal", "vnc")
    if not drawn_aside and not (environment.get("DISPLAY") or environment.get("WAYLAND_DISPLAY")):
        return f"there is no screen to open a window on (DISPLAY is not set); prep, wrap, {STILL}"
    wanted = dict(PACKAGES)
    if not drawn_aside and not chosen.startswith("wayland") and environment.get("DISPLAY"):
        wanted |= X11_PACKAGES
    return _lacking("the window needs", wanted, load)


def what_drawing_lacks(load: Callable[[str], object] = ctypes.CDLL, platform: str = sys.platform) -> str | None:
    """Return one sentence on why no sheet and no report can be drawn, or None when nothing is missing."""
    return _lacking("sheets and reports are drawn with", PACKAGES, load) if platform == "linux" else None


def _lacking(begins: str, wanted: Mapping[str, str], load: Callable[[str], object]) -> str | None:
    from studiotimer.apart import fill_in  # brings what begins processes, which no other command needs

    fill_in()  # what a bundle has for a system without is not missing
    missing = {name: package for name, package in wanted.items() if not _loads(name, load)}
    if not missing:
        return None
    packages = " ".join(missing.values())
    return f"{begins} {', '.join(missing)}; on Debian and Ubuntu: apt-get install {packages} ({STILL})"


def _loads(name: str, load: Callable[[str], object]) -> bool:
    try:
        load(name)
    except OSError:
        return False
    return True
