"""Makes the program's sounds: short tones of our own, written beside this script as WAV files.

Run it as `python resources/sounds/make_tones.py` after changing a tone.
"""

import wave
from pathlib import Path

import numpy as np

RATE = 44_100
PEAK = 0.9
TONES = {
    # name: how loud against the loudest, its overtones, and its parts: the frequency in Hz (0: silence) and the seconds
    "accepted": (0.25, (1.0, 0.2), [(660.0, 0.055), (880.0, 0.085)]),
    "refused": (0.55, (1.0, 0.3), [(233.0, 0.12), (0.0, 0.05), (196.0, 0.18)]),
    "pull": (1.0, (1.0, 0.35, 0.15), [(523.0, 0.10), (659.0, 0.10), (784.0, 0.16)]),
    "thirty": (1.0, (1.0, 0.5, 0.25), [(988.0, 0.09), (0.0, 0.09), (988.0, 0.09)]),
    "swap": (1.0, (1.0, 0.6, 0.4), [(784.0, 0.14), (587.0, 0.14), (784.0, 0.14), (587.0, 0.20)]),
}
"""Alarms (pull, thirty, swap) are at least 6 dB louder than the answer to a key, and no two have the same tones."""


def samples(loud: float, overtones: tuple[float, ...], parts: list[tuple[float, float]]) -> np.ndarray:
    """Return a tone's samples in -1 to 1: each part a sine with overtones, swelling and fading."""
    pieces = []
    for frequency, seconds in parts:
        t = np.arange(int(RATE * seconds)) / RATE
        swell = np.minimum(1.0, np.minimum(t / 0.006, (seconds - t) / 0.025))
        waves = (share * np.sin(2 * np.pi * frequency * times * t) for times, share in enumerate(overtones, start=1))
        pieces.append(swell * sum(waves))
    whole = np.concatenate(pieces)
    return PEAK * loud * whole / np.abs(whole).max()


def main() -> None:
    """Write every tone."""
    for name, tone in TONES.items():
        data = (samples(*tone) * 32767).astype("<i2").tobytes()
        with wave.open(str(Path(__file__).with_name(f"{name}.wav")), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(RATE)
            file.writeframes(data)


if __name__ == "__main__":
    main()
