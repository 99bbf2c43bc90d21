"""The list of scenes, in the order they are played."""

from collections.abc import Callable
from dataclasses import dataclass

from tests.scenes.stage import Stage


@dataclass(frozen=True)
class Scene:
    """One scene: what it shows, and what plays it."""

    shows: str
    play: Callable[[Stage], None]


SCENES: list[Scene] = []


def scene(shows):
    """Put a function that plays a scene on the list."""

    def put(play):
        SCENES.append(Scene(shows, play))
        return play

    return put
