"""Contrast of every colour that is read, and the ribbon's steps in grey and with the common colour-vision deficiencies.

Contrast is the WCAG 2.2 ratio (W3C Recommendation, relative luminance and contrast ratio). Deficiencies are simulated
with the matrices of Machado, Oliveira and Fernandes (2009), as colour-science has them.
"""

import warnings
from itertools import pairwise

import numpy as np
import pytest
from PySide6.QtGui import QColor

from studiotimer.prep.looks import STAGES
from studiotimer.window import theme
from studiotimer.window.keys import KeyMap
from studiotimer.window.ribbon import STAGE_COLOURS
from studiotimer.window.settings.key_list import KeyList
from studiotimer.window.veil import DARKNESS

TEXTS = ("text", "quiet", "warning", "danger", "accent")
GROUNDS = ("ground", "panel", "raised")
LIGHT_WORDS = {"dripping", "slumped"}


def linear(colour):
    channels = np.array(QColor(colour).getRgbF()[:3])
    return np.where(channels <= 0.04045, channels / 12.92, ((channels + 0.055) / 1.055) ** 2.4)


def luminance(colour):
    return float(np.dot((0.2126, 0.7152, 0.0722), linear(colour)))


def contrast(one, other):
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("chosen", [theme.DARK, theme.LIGHT], ids=lambda chosen: chosen.name)
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("text", TEXTS)
def test_text_stands_out_four_and_a_half_to_one(chosen, ground, text):
    assert contrast(getattr(chosen, text), getattr(chosen, ground)) >= 4.5


def test_the_clock_stands_out_seven_to_one():
    assert contrast(theme.CREAM, theme.DARK.ground) >= 7.0
    assert contrast(theme.DARK.quiet, theme.DARK.ground) >= 7.0


@pytest.mark.parametrize("stage", STAGES)
def test_words_on_the_ribbon_are_read(stage):
    assert contrast(STAGE_COLOURS[stage], theme.CREAM if stage in LIGHT_WORDS else theme.INK) >= 4.5


def seen_with(deficiency):
    """Return the whole deficiency's matrix; its library takes seconds to import, for each worker that collects this."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from colour.blindness import matrix_cvd_Machado2009

        return matrix_cvd_Machado2009(deficiency, 1.0)


def lightness(colour):
    """Return CIE 1976 lightness, 0 to 100."""
    y = luminance(colour)
    return 116 * y ** (1 / 3) - 16 if y > 0.008856 else 903.3 * y


def test_the_ribbon_reads_in_grey():
    """Its steps fall in lightness from sheen on; frosted and crisp, and crisp and sheen, are told by texture and word."""
    levels = [lightness(STAGE_COLOURS[stage]) for stage in STAGES]
    assert levels[0] < levels[1]
    for before, after in pairwise(levels[2:]):
        assert before - after >= 8.0


@pytest.mark.parametrize("deficiency", ["Protanomaly", "Deuteranomaly", "Tritanomaly"])
def test_the_ribbons_steps_differ_for_every_eye(deficiency):
    matrix = seen_with(deficiency)
    seen = [np.clip(matrix @ linear(STAGE_COLOURS[stage]), 0, 1) for stage in STAGES]
    for before, after in pairwise(seen):
        assert np.abs(np.cbrt(before) - np.cbrt(after)).max() >= 0.06


def test_the_clock_and_the_cue_are_readable_when_dimmed():
    """Large text wants 3:1 (WCAG 2.2, 1.4.3); the veil is black over everything."""

    def dimmed(colour):
        left = 1 - DARKNESS / 255
        return QColor(*(round(part * left) for part in QColor(colour).getRgb()[:3])).name()

    assert contrast(dimmed(theme.CREAM), dimmed(theme.DARK.ground)) >= 4.0
    assert contrast(dimmed(theme.DARK.quiet), dimmed(theme.DARK.ground)) >= 2.5


@pytest.mark.parametrize("chosen", [theme.DARK, theme.LIGHT], ids=lambda chosen: chosen.name)
def test_the_list_of_keys_is_drawn_in_the_pages_own_colours(qtbot, chosen):
    shown = KeyList(KeyMap())
    qtbot.addWidget(shown)
    shown.setStyleSheet(theme.style(chosen))
    shown.ensurePolished()
    assert [colour.name() for colour in shown.colours()] == [QColor(one).name() for one in (chosen.text, chosen.quiet)]
