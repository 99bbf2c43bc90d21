"""The collector rests inside the block only, and only if it was at work before."""

import gc

import pytest

from studiotimer.session.bulk import no_collection


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
