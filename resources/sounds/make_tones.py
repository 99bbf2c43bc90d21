"""Makes the program's sounds: short tones of our own, written beside this script as WAV files.

Run it as `python resources/sounds/make_tones.py` after changing a tone.
"""

import wave
from pathlib import Path

import numpy as np

RATE = 44_100
TONES = {
    "accepted": [(660.0, 0.055), (880.0, 0.085)],
    "refused": [(233.0, 0.12), (0.0, 0.05), (196.0, 0.18)],
    "pull": [(523.0, 0.10), (659.0, 0.10), (784.0, 0.16)],
    "thirty": [(988.0, 0.09), (0.0, 0.09), (988.0, 0.09)],
    "swap": [(784.0, 0.14), (587.0, 0.14), (784.0, 0.14), (587.0, 0.20)],
}


def samples(parts: list[tuple[float, float]]) -> np.ndarray:
    """Return a tone's samples in -1 to 1: each part a sine with one overtone, swelling and fading."""
    pieces = []
    for frequency, seconds in parts:
        t = np.arange(int(RATE * seconds)) / RATE
        swell = np.minimum(1.0, np.minimum(t / 0.006, (seconds - t) / 0.025))
        pieces.append(swell * (0.75 * np.sin(2 * np.pi * frequency * t) + 0.2 * np.sin(4 * np.pi * frequency * t)))
    return np.concatenate(pieces)


def main() -> None:
    """Write every tone."""
    for name, parts in TONES.items():
        data = (samples(parts) * 0.8 * 32767).astype("<i2").tobytes()
        with wave.open(str(Path(__file__).with_name(f"{name}.wav")), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(RATE)
            file.writeframes(data)


if __name__ == "__main__":
    main()
