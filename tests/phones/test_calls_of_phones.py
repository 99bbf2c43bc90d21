"""A phone paired with the real window, and the calls it makes through the server and the call socket."""

from tests.phones.client import WAIT_MS, aside


def entries(window):
    return window.running.session.ledger.entries


def test_a_paired_phone_hears_the_shoot_and_its_call_is_on_disk_under_its_name(qtbot, shoot, phones, paired):
    ana = paired()
    status, news = aside(qtbot, ana.news)
    assert status == 200
    assert (news["rights"], news["title"], news["next_number"]) == ("assistant", "test coupe", 1)
    status, made = aside(qtbot, lambda: ana.call("pull", {"flavour": "hazelnut", "to": "box"}))
    assert (status, made["on_disk"], made["words"][:18]) == (200, True, "1 pulled, hazelnut")
    entry = shoot.running.session.ledger.entry(made["entry"])
    assert (entry.kind, entry.phone, entry.scoop) == ("pull", "Ana", 1)
    assert f'"phone":"Ana","call_id":"{entry.call_id}"'.encode() in shoot.running.session.path.read_bytes()
    qtbot.waitUntil(lambda: aside(qtbot, ana.news)[1]["next_number"] == 2, timeout=WAIT_MS)
