"""What is logged is caught for each test also while a thread of another makes loggers."""

import logging
import threading

from _pytest.logging import catching_logs


def test_a_logger_that_a_thread_makes_meanwhile_breaks_no_test(monkeypatch):
    made = []

    class Slow(dict):
        """Loggers that take a while to go through, in which a thread makes one more if it may."""

        def values(self):
            for one in super().values():
                if not made:
                    made.append(threading.Thread(target=logging.getLogger, args=("made meanwhile",)))
                    made[0].start()
                    made[0].join(0.5)
                yield one

    manager = logging.getLogger("made before").manager
    monkeypatch.setattr(manager, "loggerDict", Slow(manager.loggerDict))
    with catching_logs(logging.NullHandler()):
        pass
    made[0].join()
    assert "made meanwhile" in manager.loggerDict
