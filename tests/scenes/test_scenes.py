"""Every scene, without its pictures."""

import pytest

from tests.scenes.house import house, lacking
from tests.scenes.listed import SCENES
from tests.scenes.played import load, stage

load()
pytestmark = pytest.mark.skipif(lacking() is not None, reason=str(lacking()))


@pytest.fixture(scope="module")
def opened(tmp_path_factory):
    """The house that all scenes share."""
    with house(tmp_path_factory.mktemp("house")) as one:
        yield one


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.shows)
def test_scene(opened, scene):
    if (why := scene.lacks()) is not None:
        pytest.skip(why)
    with stage(opened) as one:
        scene.play(one)
        one.close()
        assert one.pictures, "a scene shows something"
