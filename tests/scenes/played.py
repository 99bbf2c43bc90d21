"""How a scene is played: on a stage of its own, in a house that all share."""

import importlib
import tempfile
from contextlib import contextmanager
from pathlib import Path

from tests.scenes.stage import Stage

MODULES = ("cue_key", "asking", "sounding", "line", "pages", "by_hand", "shoot")


def load():
    """Put every scene on the list, in order."""
    for name in MODULES:
        importlib.import_module(f"tests.scenes.{name}")


@contextmanager
def stage(house, out=None):
    """Give a stage; its program is ended in any case."""
    with tempfile.TemporaryDirectory(dir=house.folder) as folder:
        one = Stage(house, Path(folder), out)
        try:
            yield one
        finally:
            one.leave()


def play(scene, house, out):
    """Play a scene with its pictures, and return what was wrong, None when nothing."""
    if (why := scene.lacks()) is not None:
        print(f"skipped: {why}")
        return None
    with stage(house, out) as one:
        try:
            scene.play(one)
            one.close()
        except AssertionError as error:
            one.picture(f"failed {scene.shows}")
            return str(error) or "an assertion does not hold"
    return None
