"""The battery and the disk are looked at aside, and said quietly on the page."""

from studiotimer.session.supplies import Supplies
from studiotimer.window import session_services


def test_the_charger_out_is_said_once_and_nothing_is_logged(qtbot, window, plan, session_path, clock, monkeypatch):
    monkeypatch.setattr(session_services, "supplies", lambda folder: Supplies(0.4, False, 10**12))
    from studiotimer.session.live import new_session

    window._run(new_session(session_path, plan, clock))
    qtbot.waitUntil(lambda: "charger" in window.page.quiet_line.text(), timeout=5_000)
    assert "battery 40 %" in window.page.quiet_line.text()
    assert len(window.running.session.ledger.entries) == 1
    window.page.say("")
    window.services._look_at_supplies()
    qtbot.wait(400)
    assert "charger" not in window.page.quiet_line.text()
