"""The session clock counts up from its start, whatever the wall clock does."""

import time
from datetime import UTC

import pytest

from studiotimer.session import clock as clocks
from studiotimer.session.clock import SystemClock


def test_it_counts_from_when_it_was_made():
    before = time.monotonic()
    clock = SystemClock()
    first = clock.tick()
    time.sleep(0.02)
    later, end = clock.tick(), time.monotonic()
    assert 0 <= first <= later - 0.02
    assert later <= end - before + 0.001
    assert clock.now().tzinfo is UTC


@pytest.mark.parametrize(
    ("platform", "wanted"), [("linux", "CLOCK_BOOTTIME"), ("darwin", "CLOCK_MONOTONIC_RAW"), ("win32", None)]
)
def test_each_system_has_a_clock_that_counts_sleep(monkeypatch, platform, wanted):
    monkeypatch.setattr(clocks.sys, "platform", platform)
    monkeypatch.setattr(time, "CLOCK_BOOTTIME", "CLOCK_BOOTTIME", raising=False)
    monkeypatch.setattr(time, "CLOCK_MONOTONIC_RAW", "CLOCK_MONOTONIC_RAW", raising=False)
    asked = []
    monkeypatch.setattr(time, "clock_gettime", lambda which: asked.append(which) or 1.0)
    monkeypatch.setattr(time, "monotonic", lambda: asked.append(None) or 2.0)
    clocks.steady_seconds()
    assert asked == [wanted]
