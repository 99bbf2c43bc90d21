"""What a cue moves from where to where: words for whoever carries it."""

from __future__ import annotations

from studiotimer.session.cue import Cue


def routes(cue: Cue) -> list[str]:
    """Return a line for each scoop that a cue moves, "5 pistachio, box to left"; none where it moves none."""
    return [
        f"{' '.join(part for part in (str(chip.scoop or ''), chip.flavour) if part)}, "
        + (f"{chip.came} to {chip.to}" if chip.came else f"to {chip.to}")
        for chip in cue.parts.chips
        if chip.to
    ]
