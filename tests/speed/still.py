"""A window on the Set page whose clock is turned by hand, for what is measured of its own work."""

import os
import tempfile


def still_window():
    """Return the application, a window shown at 1280x800 without sounds, and the clock for its session."""
    os.environ["XDG_RUNTIME_DIR"] = tempfile.mkdtemp()
    from studiotimer.session import live
    from studiotimer.window.app import application
    from studiotimer.window.main import MainWindow
    from tests.session.clocks import HandClock

    live.SAME_CALL_S = 0.0
    app, window = application(), MainWindow()
    window.sounds.load = lambda: None
    window.resize(1280, 800)
    window.show()
    return app, window, HandClock()
