"""Who is on the shoot, and how to reach them."""

from __future__ import annotations

from studiotimer.prep.draft import Values, free_name
from studiotimer.window.prep.input_forms import Rows
from studiotimer.window.prep.questions import PERSON

ROLES = ("stylist", "photographer", "assistant", "producer", "client")


class People(Rows):
    """The people, each on two rows: role and name, then phone and email."""

    def __init__(self, draft: Values) -> None:
        super().__init__(draft, ("people",), "person", PERSON)

    def new_item(self) -> Values:
        """Return the next role that nobody has."""
        there = [str(one.get("role", "")) for one in self.items]
        return {"role": next((role for role in ROLES if role not in there), free_name("crew", there))}
