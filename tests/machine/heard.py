"""What a recording says: which sound is heard when, how loud each is, and how unlike two are."""

import wave

import numpy as np

from studiotimer.places import resource

RATE = 44_100
FRAME, STEP = 2048, 441
"""A frame is 46 ms long: two tones of the program that are nearest, 784 and 880 Hz, are well apart in it."""
QUIET = 0.004
TONES = {
    "accepted": (660.0, 880.0),
    "refused": (233.0, 196.0),
    "swap": (784.0, 587.0),
}
"""The fundamentals by which sounds that overlap are told apart."""


def sound(name):
    """Return the samples of one of the program's sounds."""
    with wave.open(str(resource("sounds", f"{name}.wav"))) as file:
        return np.frombuffer(file.readframes(file.getnframes()), "<i2") / 32768.0


def frames(samples):
    """Return overlapping frames, one in a row."""
    padded = np.pad(samples, FRAME // 2)
    many = (len(padded) - FRAME) // STEP
    return np.lib.stride_tricks.sliding_window_view(padded, FRAME)[::STEP][:many]


def loud(samples, frequency):
    """Return how loud a frequency is in each frame, as the amplitude of its sine."""
    window = np.hanning(FRAME)
    wave_ = np.exp(-2j * np.pi * frequency * np.arange(FRAME) / RATE) * window
    return 2 * np.abs(frames(samples) @ wave_) / window.sum()


def present(samples, names, volume):
    """Return, for each name, in which frames it is heard: at least half as loud as it is alone."""
    heard = {}
    for name in names:
        alone = max(loud(sound(name), frequency).max() for frequency in TONES[name]) * volume
        heard[name] = np.max([loud(samples, frequency) for frequency in TONES[name]], axis=0) > alone / 2
    return heard


def runs(flags):
    """Return the lengths of the runs of True, in frames."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], np.asarray(flags, int), [0]])))
    return edges[1::2] - edges[::2]


def seconds(many_frames):
    """Return how long so many steps from frame to frame are."""
    return many_frames * STEP / RATE


def parts(samples, apart_s=0.3):
    """Return the pieces of a recording between which it is silent for a while."""
    at = np.flatnonzero(np.abs(samples) > QUIET)
    if not len(at):
        return []
    cuts = np.flatnonzero(np.diff(at) > apart_s * RATE)
    starts, ends = at[np.concatenate([[0], cuts + 1])], at[np.concatenate([cuts, [len(at) - 1]])]
    return [samples[start : end + 1] for start, end in zip(starts, ends, strict=True)]


def level(samples):
    """Return the root mean square of a sound from its first to its last moment, in dB below the largest there can be."""
    return 20 * np.log10(np.sqrt(np.mean(samples**2)))


def alike(one, other):
    """Return how alike two sounds are, 0 to 1: their spectra frame by frame, laid over each other as well as can be."""
    first, second = (_shape(samples) for samples in (one, other))
    if len(first) > len(second):
        first, second = second, first
    scale = np.linalg.norm(first) * np.linalg.norm(second)
    best = 0.0
    for shift in range(-len(first) + 1, len(second)):
        low, high = max(shift, 0), min(shift + len(first), len(second))
        best = max(best, float((first[low - shift : high - shift] * second[low:high]).sum() / scale))
    return best


def _shape(samples):
    return np.abs(np.fft.rfft(frames(samples) * np.hanning(FRAME)))[:, :200]


def same(heard, name, volume):
    """Return how far what was heard is from the sound itself, as a share of it: 0 when it is the same."""
    wanted = sound(name) * volume
    heard = np.pad(heard, FRAME)
    many = 1 << (len(heard) + len(wanted)).bit_length()
    found = np.fft.irfft(np.fft.rfft(heard, many) * np.conj(np.fft.rfft(wanted, many)), many)
    start = int(found[: len(heard)].argmax())
    piece = np.zeros_like(wanted)
    there = heard[start : start + len(wanted)]
    piece[: len(there)] = there
    return float(np.linalg.norm(piece - wanted) / np.linalg.norm(wanted))
