"""The steps of one shot's dressing: what is done, by whom, for how long, how warm a sauce is, and how much of it."""

from __future__ import annotations

from studiotimer.prep.draft import Values
from studiotimer.window.prep.input_forms import Rows
from studiotimer.window.prep.questions import STEP


class Steps(Rows):
    """The steps, each on two rows: what and who, then its seconds, a sauce's temperature and what a scoop gets."""

    def __init__(self, draft: Values, shot: int) -> None:
        super().__init__(draft, ("shots", shot, "steps"), "step", STEP)
        self.more.setText("+ step of dressing")

    def new_item(self) -> Values:
        """Return a step to be named, by who did the last one."""
        who = self.items[-1].get("who") if self.items else None
        return {"what": f"step {len(self.items) + 1}", "seconds": "10 s"} | ({"who": who} if who else {})
