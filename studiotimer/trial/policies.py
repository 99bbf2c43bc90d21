"""How a simulated crew decides: by our cues."""

from __future__ import annotations

from dataclasses import dataclass, field

from studiotimer.session.cues import Cue, cues
from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk, NoDefaultError
from studiotimer.session.fields import Given
from studiotimer.session.wanted import has_all
from studiotimer.trial.crew import Crew, Person

LATE_S = 15.0
"""From so long after it was due a cue counts as answered late (own rule)."""
MISSED_FOR_S = 20.0
"""How long it takes to notice a cue that was missed (own rule)."""
LEFT_ON_S = 1800.0
"""How long a lamp that was left on shines before somebody sees it (own rule)."""

_WHO: dict[str, Person] = {
    "pull": "assistant", "move": "assistant", "judge": "assistant", "top_up": "assistant", "lamp": "assistant",
    "tub_out": "assistant", "tub_back": "assistant",
    "tub_finished": "assistant", "hero_in": "stylist", "swap": "stylist", "out": "stylist",
    "stand_in": "stylist", "look": "stylist", "dew_wiped": "stylist",
}  # fmt: skip


@dataclass
class Cued:
    """Does what is cued when it is cued, with a person's delay, and misses some."""

    forecasts: bool = True
    _heard: dict[str, float] = field(default_factory=dict)

    def act(self, crew: Crew) -> None:
        """Answer the first cue that is due for each person whose hands are free."""
        self._ask_more(crew)
        desk = self._desk(crew)
        standing = cues(desk, crew.forecast)
        due = {self._name(cue): cue for cue in standing if cue.kind in _WHO and cue.due <= crew.at}
        self._heard = {name: self._heard.get(name) or self._answered(crew, due[name]) for name in due}
        for name, cue in due.items():
            person = _WHO[str(cue.kind)]
            helped = cue.kind not in ("hero_in", "swap") or crew.free("assistant")
            if self._heard[name] <= crew.at and crew.free(person) and helped:
                crew.tally.cues += 1
                crew.tally.cues_late += crew.at - cue.due > LATE_S
                self._do(crew, desk, cue)
                return

    def shooting(self, crew: Crew) -> bool:
        """Whether the clock has time left, the frost is seen to be gone, and nobody saw the window end."""
        window = crew.forecast.window if crew.forecast else None
        return window is not None and crew.at < window.end.likely and not frosted(crew) and not seen_gone(crew)

    def _ask_more(self, crew: Crew) -> None:
        """Want one take more of a shot that has all its frames, not all of them good, once its heroes are over."""
        shot = crew.session.state.shot
        if shot is not None and crew.wanted and has_all(self._desk(crew)) and not self.shooting(crew):
            crew.call("amend", {"entry": shot.n, "change": {"takes": shot.takes + 1}})

    @staticmethod
    def _desk(crew: Crew) -> Desk:
        best = crew.forecast.best if crew.forecast else ()
        ending = crew.forecast.window.ended_by if crew.forecast and crew.forecast.window else None
        return Desk(crew.session.ledger, crew.plan, crew.at, best, ending)

    @staticmethod
    def _name(cue: Cue) -> str:
        return f"{cue.kind} {sorted(cue.given.items())}"

    @staticmethod
    def _answered(crew: Crew, cue: Cue) -> float:
        missed = MISSED_FOR_S if crew.dice.happens("cue_missed") else 0.0
        if cue.kind == "lamp" and not cue.given.get("on") and crew.dice.happens("lamp_left_on"):
            missed = LEFT_ON_S
        return crew.at + crew.dice.takes("respond_s") + missed

    @staticmethod
    def _do(crew: Crew, desk: Desk, cue: Cue) -> None:
        kind = str(cue.kind)
        asked = Desk(desk.ledger, desk.plan, desk.at, desk.best, desk.ending, None, cue.given)
        try:
            given = filled(kind, asked)
        except NoDefaultError:
            return
        if kind == "pull":
            crew.pull({"flavour": given["flavour"], "to": given["to"]})
        elif kind == "hero_in" or kind == "swap":
            crew.place("hero_in" if kind == "hero_in" else "swap", given)
        elif kind == "look":
            crew.tell(next(hero.number for hero in crew.standing() if hero.number == given["scoop"]))
        elif kind == "out":
            crew.out([hero.number for hero in crew.standing() if hero.number in _named(given)], str(given["why"]))
        else:
            crew.do(kind, given)


def _named(given: Given) -> tuple[int, ...]:
    return tuple(given.get("scoops", ()))


def frosted(crew: Crew) -> bool:
    """Whether anybody can see that a hero has not come into its look yet."""
    return any(crew.at < crew.true_window(hero.number).start for hero in crew.standing())


def seen_gone(crew: Crew) -> bool:
    """Whether anybody has seen that a hero is gone."""
    return any(hero.number in crew.seen_gone for hero in crew.standing())
