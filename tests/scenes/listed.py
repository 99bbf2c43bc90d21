"""The list of scenes, in the order they are played."""

from collections.abc import Callable
from dataclasses import dataclass

from tests.scenes.stage import Stage


@dataclass(frozen=True)
class Scene:
    """One scene: what it shows, what plays it, and what says what this machine has not for it."""

    shows: str
    play: Callable[[Stage], None]
    lacks: Callable[[], str | None] = lambda: None


SCENES: list[Scene] = []


def scene(shows, **more):
    """Put a function that plays a scene on the list."""

    def put(play):
        SCENES.append(Scene(shows, play, **more))
        return play

    return put
