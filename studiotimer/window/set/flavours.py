"""Each flavour's own colour and the shortest names that still tell it from the others of the plan. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

COLOURS = ("#9CCB86", "#B9A3E8", "#E79AD2", "#8FABF0", "#C7D36C", "#7FD1AC", "#D48EEA", "#B9B1A8")
"""In a plan's order, over and over; their hues keep off those of the stages, and ink stands out on each."""
OTHER = "#B9B1A8"
"""Of a flavour that the plan does not have."""
LEAST_LETTERS = 3
_JOINING = frozenset(("and", "with", "of", "the", "in", "on", "&", "+"))
"""No name ends with one of these."""


@dataclass(frozen=True)
class Palette:
    """The plan's flavours, in its order."""

    names: tuple[str, ...]

    def colour(self, flavour: str) -> str:
        """Return the colour of a flavour."""
        return COLOURS[self.names.index(flavour) % len(COLOURS)] if flavour in self.names else OTHER

    def forms(self, flavour: str) -> tuple[str, ...]:
        """Return a flavour's name, then shorter ones, to the shortest that no other flavour of the plan begins with."""
        return _forms(flavour, self.names)


@cache
def _forms(flavour: str, names: tuple[str, ...]) -> tuple[str, ...]:
    return shorter(flavour, [name for name in names if name != flavour])


def shorter(name: str, others: Sequence[str]) -> tuple[str, ...]:
    """Return `name` and shorter forms of it, the longest first, each told from all of `others`."""
    forms, words = [name], name.split()
    for count in range(len(words) - 1, 0, -1):
        form = " ".join(words[:count])
        if words[count - 1].casefold() not in _JOINING and differs(form, others):
            forms.append(form)
    for count in range(len(forms[-1]) - 1, LEAST_LETTERS - 1, -1):
        if differs(name[:count], others):
            forms.append(name[:count].rstrip())
    return tuple(dict.fromkeys(forms))


def differs(form: str, others: Sequence[str]) -> bool:
    """Whether no other name begins as this form does."""
    return not any(other.casefold().startswith(form.casefold()) for other in others)
