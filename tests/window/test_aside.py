"""Work aside: what is under way or waits is known, until the last of it is done."""

import threading

from studiotimer.window.aside import Aside


def test_it_is_busy_until_the_last_piece_is_done(qtbot):
    aside, go = Aside("test"), threading.Semaphore(0)
    assert not aside.busy
    busy = []
    aside.done.connect(lambda kind, _: busy.append((kind, aside.busy)))
    aside.ask("first", go.acquire)
    aside.ask("second", go.acquire)
    assert aside.busy
    go.release()
    qtbot.waitUntil(lambda: len(busy) == 1)
    assert busy == [("first", True)]
    go.release()
    qtbot.waitUntil(lambda: len(busy) == 2)
    assert busy[1] == ("second", False)
    aside.end()
