"""Structure: how far clustered fat and small air cells carry the shape of a mix once its ice is gone (own rule).

That shape and drip follow the clustering of fat first, then the viscosity of the mix, then overrun: Freire, Wu and
Hartel, J. Food Sci. 2020; Muse and Hartel, J. Dairy Sci. 2004; VanWees, Rankin and Hartel, J. Texture Stud. 2019.
That the emulsifier decides most of it: University of Guelph ice cream notes (Goff). The numbers are this program's own.
"""

from __future__ import annotations

import re
from typing import Literal, get_args

Emulsifier = Literal["none", "egg", "mono- and diglycerides", "polysorbate"]
EMULSIFIERS: tuple[Emulsifier, ...] = get_args(Emulsifier)

NETWORK_LIMIT = 0.85  # own rule: a network alone never carries the whole shape

_SHARES: dict[Emulsifier, float] = {"none": 0.0, "egg": 0.0, "mono- and diglycerides": 0.1, "polysorbate": 0.3}
_WORDS: tuple[tuple[Emulsifier, str], ...] = (
    ("polysorbate", r"polysorbat\w*|\be ?-?43[2-6]\b"),
    (
        "mono- and diglycerides",
        r"\bmono\W*(?:(?:and|&|/|,|-)?\W*di-?)?\W?(?:acyl)?glycerid\w*|glycer\w*\s+monostearate|\be ?-?471\b",
    ),
    ("egg", r"\b(?:egg|yolk)s?\b|lecithin\w*|\be ?-?322\b"),
)
_LEFT_OUT = re.compile(r"\b(?:no|without|free (?:of|from))\b[^,;.()]*")


def network(overrun: float, emulsifier: Emulsifier) -> float:
    """Return the network [-] (0 to 0.85) of a mix that is no class of the table, from its `overrun` [-].

    clip(0.15 + 0.45 (OR - 0.3) + e, 0, 0.85), e of the emulsifier. Own rule, its order that of [1], [2] and [3]: fat's
    clusters, which the emulsifier makes [4], and small air cells carry the shape.

    References
    ----------
    .. [1] D. Freire, B. Wu and R. W. Hartel, J. Food Science, 2020 (abstract).
    .. [2] M. R. Muse and R. W. Hartel, "Ice cream structural elements that affect melting rate and hardness", J. Dairy
         Science 87, 2004, 1-10.
    .. [3] S. R. VanWees, S. A. Rankin and R. W. Hartel, "The microstructural, melting, rheological, and sensorial
         properties of high-overrun frozen desserts", J. Texture Studies, 2019 (abstract).
    .. [4] H. D. Goff, University of Guelph, ice cream notes.
    """
    return min(max(0.15 + 0.45 * (overrun - 0.3) + _SHARES[emulsifier], 0.0), NETWORK_LIMIT)


def emulsifier_in(ingredients: str) -> Emulsifier:
    """Return the emulsifier that a list of ingredients names, the one that clusters most fat if it names several.

    Numbers of the European list of additives count as names; what the text says is left out does not count. Own rule in
    its words, its order that of [1].

    References
    ----------
    .. [1] H. D. Goff, University of Guelph, ice cream notes.
    """
    text = _LEFT_OUT.sub("", ingredients.lower())
    return next((kind for kind, words in _WORDS if re.search(words, text)), "none")
