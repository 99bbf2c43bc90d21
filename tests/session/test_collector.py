"""The collector rests inside the block only, and only if it was at work before."""

import gc

import pytest

from studiotimer.session.collector import lasting, no_collection


@pytest.mark.parametrize("on", [True, False])
def test_afterwards_it_is_as_it_was_also_when_something_fails(on):
    was = gc.isenabled()
    gc.enable() if on else gc.disable()
    try:
        with no_collection():
            assert not gc.isenabled()
        assert gc.isenabled() is on
        with pytest.raises(KeyError), no_collection():
            raise KeyError
        assert gc.isenabled() is on
    finally:
        gc.enable() if was else gc.disable()


def test_what_lasts_is_passed_over_by_later_collections():
    gc.unfreeze()
    with lasting():
        kept = [[] for _ in range(1000)]
        assert not gc.isenabled()
    try:
        assert gc.get_freeze_count() >= len(kept)
        assert not any(one is kept[-1] for one in gc.get_objects())
    finally:
        gc.unfreeze()
