"""What a rehearsal needs beside the person: a clock that runs faster, the feet of its plan, and the day by its cues."""

from __future__ import annotations

import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

from studiotimer.prep.plan import Plan
from studiotimer.prep.standing import foot_of
from studiotimer.prep.windows import scoop_of
from studiotimer.session.clock import Anchor, Clock, SystemClock
from studiotimer.trial.crew import Crew
from studiotimer.trial.luck import Luck
from studiotimer.trial.policies import Cued
from studiotimer.trial.rehearsing import Outcome


class FastClock:
    """A clock that goes `speed` times as fast as another."""

    def __init__(self, speed: float, clock: Clock | None = None) -> None:
        self._clock = clock or SystemClock()
        self._speed = speed
        self._began = datetime.now(UTC)
        self._from = self._clock.tick()

    def anchor(self) -> Anchor | None:
        """Return None: its seconds are no machine's."""

    def stands(self) -> bool:
        """Whether the clock behind it stands."""
        return self._clock.stands()

    def tick(self) -> float:
        """Return seconds since it was made, so many times as many as really passed."""
        return (self._clock.tick() - self._from) * self._speed

    def now(self) -> datetime:
        """Return the time of day that it has come to, in UTC."""
        return self._began + timedelta(seconds=self.tick())


def feet_of(plan: Plan) -> dict[tuple[str, str], float]:
    """Return when the foot of each flavour of each shot shows [s on set], by their names; only where it is foretold."""
    feet = {}
    for shot in plan.shots:
        for hero in shot.heroes:
            found = foot_of(shot, scoop_of(plan, shot, hero, plan.dry_ice.used)) if shot.stands_on else None
            if found is not None:
                feet[shot.name, hero.flavour] = found.seconds
    return feet


def by_its_cues(plan: Plan, luck: Luck, seed: int) -> Outcome:
    """Return what a crew that follows the cues makes of the same day; it takes some seconds."""
    with tempfile.TemporaryDirectory() as folder:
        tally = Crew(plan, Cued(), seed, luck, Path(folder)).run()
    return Outcome(tally.frames, tally.good, tally.shots, tally.got, tally.pulls, sum(tally.minutes))
