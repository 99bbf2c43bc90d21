"""Slumps of forms against finite elements, and what a forecast of 60 bars takes against 60 scoops (process time)."""

import dataclasses
import time

from studiotimer.mixes import mixes
from studiotimer.thermal.air import heat_flux
from studiotimer.thermal.body import Case, slump_times, start_body
from studiotimer.thermal.form import ball, block, roll
from studiotimer.thermal.surroundings import room
from tests.outside import solid

ROOM = room(22.0, 0.45, 600.0)
MIXES = [("superpremium", -12.0, 1.7, 1.3), ("premium", -18.0, 1.5, 1.25), ("regular", -18.0, 1.35, 1.2), ("economy", -18.0, 1.22, 1.15)]  # fmt: skip


def spent(form, count=60):
    """Return the process time [s] of the slumps of `count` bodies."""
    mix = mixes()["premium"]
    cases = [Case(mix, form, start_body(mix, -18.0 + i / count), (), ROOM) for i in range(count)]
    slump_times(cases)
    began = time.process_time()
    slump_times(cases)
    return time.process_time() - began


def main():
    """Print both tables."""
    print(f"{'mix':<14}{'form':<32}{'here':>8}{'elements':>10}{'off':>8}")
    for name, start_c, growth, turned in MIXES:
        mix = mixes()[name]
        for words, made, form, width in (
            ("bar 20 x 60 x 100 mm", solid.block(0.02, 0.06, 0.1, cells=(10, 10, 10), growth=growth), block(0.02, 0.06, 0.1), 0.02),
            ("cylinder 50 mm across and high", solid.turned(0.05, 0.05, cells=(18, 18), growth=turned), roll(0.05, 0.05), 0.05),
        ):  # fmt: skip
            alike = dataclasses.replace(form, flow="sphere", along_m=width)
            (found,) = slump_times([Case(mix, alike, start_body(mix, start_c), (), ROOM)])
            wanted = solid.slump_of(made, mix, start_c, lambda t, width=width: heat_flux(t, ROOM, width))
            print(f"{name:<14}{words:<32}{found:>7.1f}s{wanted:>9.1f}s{found / wanted - 1:>+8.1%}", flush=True)
    scoops = spent(ball(0.065))
    for words, form in (("60 bars", block(0.02, 0.06, 0.1)), ("60 rolls", roll(0.035, 0.07))):
        print(f"{words}: {spent(form) / scoops:.2f} times 60 scoops' {scoops * 1000:.0f} ms")


if __name__ == "__main__":
    main()
