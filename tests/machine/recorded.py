"""Plays the program's sounds on a sound server of its own and prints what was recorded: `python -m tests.machine.recorded`.

Needs pulseaudio, pactl and parec (apt-get install pulseaudio pulseaudio-utils); says so and ends where they are missing.
"""

import itertools
import os
import tempfile
import time
from pathlib import Path

from studiotimer.window.settings.values import SOUNDS, Settings
from studiotimer.window.sounds import ALARMS, Sounds
from tests.machine import heard
from tests.machine.sound import NEEDS, missing, sound_server

VOLUME = 0.8
PAIRS = 200


def main():
    """Print levels, likeness and overlap."""
    if missing():
        print(f"skipped: {NEEDS}")
        return
    from PySide6.QtCore import QCoreApplication

    app = QCoreApplication([])
    with tempfile.TemporaryDirectory() as folder, sound_server(Path(folder), "recorded") as server:
        os.environ["PULSE_SERVER"] = server.address
        sounds = Sounds(Settings(volume=VOLUME))
        sounds.load()
        wait(app, 3.0)
        with server.recording("recorded") as whole:
            for name in SOUNDS:
                sounds.play(name)
                wait(app, len(heard.sound(name)) / heard.RATE + 0.7)
        show_levels(dict(zip(SOUNDS, heard.parts(whole[0]), strict=True)))
        with server.recording("recorded") as whole:
            longest = play_pairs(app, sounds)
        show_pairs(whole[0], longest)
        sounds.end()


def wait(app, seconds):
    """Let the sounds go on for a while; return the longest time the event loop was held up."""
    end, before, longest = time.monotonic() + seconds, time.monotonic(), 0.0
    while (now := time.monotonic()) < end:
        longest, before = max(longest, now - before), now
        app.processEvents()
        time.sleep(0.005)
    return longest


def play_pairs(app, sounds):
    """Play pairs of which the second begins while the first sounds; return the longest wait of the window."""
    longest = 0.0
    for pair in range(PAIRS):
        former, latter = ("swap", "accepted") if pair % 2 else ("accepted", "refused")
        sounds.play(former)
        longest = max(longest, wait(app, 0.05))
        sounds.play(latter)
        longest = max(longest, wait(app, 0.11))
    wait(app, 1.5)
    return longest


def show_levels(pieces):
    """Print how loud each sound is and how unlike the others."""
    levels = {name: heard.level(piece) for name, piece in pieces.items()}
    print(f"volume {VOLUME:.0%}; likeness is 1 for the same sound")
    print(f"{'sound':10} {'seconds':>7} {'dB rms':>7} {'over accepted':>13} {'off its file':>12}   like")
    for name, piece in pieces.items():
        like = "  ".join(f"{other} {heard.alike(piece, pieces[other]):.2f}" for other in SOUNDS if other != name)
        print(
            f"{name:10} {len(piece) / heard.RATE:7.2f} {levels[name]:7.1f} {levels[name] - levels['accepted']:10.1f} dB "
            f"{heard.same(piece, name, VOLUME):12.1%}   {like}{'  (alarm)' if name in ALARMS else ''}"
        )


def show_pairs(whole, longest):
    """Print how the pairs were heard."""
    present = heard.present(whole, tuple(heard.TONES), VOLUME)
    both = max(
        heard.seconds(heard.runs(one & other).max(initial=0))
        for one, other in itertools.combinations(present.values(), 2)
    )
    print(
        f"{PAIRS} overlapping pairs: "
        + ", ".join(f"{name} {len(heard.runs(on))} times" for name, on in present.items())
    )
    print(f"two heard at once at most {both * 1000:.0f} ms (a frame is {heard.FRAME / heard.RATE * 1000:.0f} ms)")
    print(f"the event loop waited at most {longest * 1000:.0f} ms")


if __name__ == "__main__":
    main()
