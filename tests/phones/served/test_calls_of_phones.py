"""A phone paired with the real window, and the calls it makes through the server and the call socket."""

import json
import secrets

import pytest
from PySide6.QtCore import Qt

from studiotimer.phones.calling import NOT_ITS_OWN, Caller
from studiotimer.phones.pairing import Phones
from studiotimer.session.clock import steady_seconds
from studiotimer.session.live import open_session
from studiotimer.session.peer import socket_name
from tests.phones.served.client import WAIT_MS, Client, aside, gone
from tests.phones.served.test_gone import alive
from tests.window.test_call_socket import said_to

HAZELNUT = {"flavour": "hazelnut", "to": "box"}


def entries(window, kind):
    return [entry for entry in window.running.session.ledger.entries if entry.kind == kind]


def test_a_paired_phone_hears_the_shoot_and_its_call_is_on_disk_under_its_name(qtbot, shoot, phones, paired):
    ana = paired()
    status, news = aside(qtbot, ana.news)
    assert status == 200
    assert (news["rights"], news["title"], news["next_number"]) == ("assistant", "test coupe", 1)
    status, made = aside(qtbot, lambda: ana.call("pull", HAZELNUT))
    assert (status, made["on_disk"], made["words"][:18]) == (200, True, "1 pulled, hazelnut")
    entry = shoot.running.session.ledger.entry(made["entry"])
    assert (entry.kind, entry.phone, entry.scoop) == ("pull", "Ana", 1)
    assert f'"phone":"Ana","call_id":"{entry.call_id}"'.encode() in shoot.running.session.path.read_bytes()
    assert "Ana" in shoot.page.log.rows[0].words
    qtbot.waitUntil(lambda: aside(qtbot, ana.news)[1]["next_number"] == 2, timeout=WAIT_MS)
    assert aside(qtbot, ana.news)[1]["calls"][0]["kind"] == "take_back"


def test_the_same_id_is_one_entry_however_often_it_is_sent_and_by_whom(qtbot, shoot, paired):
    ana, leo = paired(), paired(name="Leo")
    name = secrets.token_hex(16)

    def often():
        return [ana.call("pull", HAZELNUT, name)[1] for _ in range(4)] + [leo.call("pull", HAZELNUT, name)[1]]

    answers = aside(qtbot, often)
    assert answers == [answers[0]] * 5
    assert len(entries(shoot, "pull")) == 1


def test_two_phones_at_the_same_moment_make_two_entries_and_one_that_taps_twice_one(
    qtbot, shoot, phones, paired, monkeypatch
):
    ana, leo = paired(), paired(name="Leo")
    moment = steady_seconds()
    monkeypatch.setattr(phones.host._caller, "_steady", lambda: moment)
    numbers = aside(qtbot, lambda: [one.call("pull", HAZELNUT)[1]["entry"] for one in (ana, leo, leo)])
    assert numbers[0] != numbers[1] == numbers[2]
    assert [(one.scoop, one.phone) for one in entries(shoot, "pull")] == [(1, "Ana"), (2, "Leo")]


def test_a_call_lost_with_a_killed_laptop_is_one_entry_in_the_session_that_is_opened_again(qtbot, shoot, paired):
    ana, name = paired(), secrets.token_hex(16)
    number = aside(qtbot, lambda: ana.call("pull", HAZELNUT, name))[1]["entry"]
    path = shoot.running.session.path
    shoot.close_session()
    session = open_session(path)
    try:
        found = Caller(type("Calls", (), {"session": session})(), Phones(steady_seconds))
        assert found.entry_of(name) == number
        assert found.entry_of(secrets.token_hex(16)) is None
    finally:
        session.close()


def test_a_kept_call_is_asked_about_where_the_laptop_logged_the_same_meanwhile(qtbot, shoot, phones, paired, press):
    ana = paired()
    press(shoot, Qt.Key.Key_P)
    kept = {"late": True, "at": steady_seconds() - 20.0}
    status, asked = aside(qtbot, lambda: ana.call("pull", HAZELNUT, **kept))
    assert (status, asked["same"]) == (200, entries(shoot, "pull")[0].n)
    assert asked["asks"].startswith("The laptop logged “1 pulled")
    assert asked["asks"].endswith("The same, or another?")
    assert len(entries(shoot, "pull")) == 1
    status, made = aside(qtbot, lambda: ana.call("pull", HAZELNUT, **kept, another=True))
    assert made["on_disk"]
    assert [one.scoop for one in entries(shoot, "pull")] == [1, 2]


def test_a_kept_call_that_nobody_made_meanwhile_has_the_moment_of_its_tap(qtbot, shoot, paired, clock):
    ana = paired()
    clock.advance(900)
    kept = {"late": True, "at": steady_seconds() - 600.0}
    asked = aside(qtbot, lambda: ana.call("hold", **kept))
    assert asked == (200, {"asks": "Nothing like it was logged since. Log it?", "same": None})
    assert entries(shoot, "hold") == []
    made = aside(qtbot, lambda: ana.call("hold", **kept, another=True))[1]
    entry = shoot.running.session.ledger.entry(made["entry"])
    assert clock.tick() - entry.tick == pytest.approx(600.0, abs=250.0)
    old = aside(qtbot, lambda: ana.call("resume", late=True, at=steady_seconds() - 3600.0))
    assert old[0] == 409
    assert "say it at the laptop" in old[1]["refused"]


@pytest.mark.parametrize("ahead", [500.0, -25.0, 1e300])
def test_a_tap_that_cannot_be_is_taken_for_now(qtbot, shoot, paired, clock, ahead):
    ana = paired()
    clock.advance(300)
    made = aside(qtbot, lambda: ana.call("hold", at=steady_seconds() + ahead))[1]
    assert shoot.running.session.ledger.entry(made["entry"]).tick == clock.tick()


def test_a_phone_takes_back_its_own_last_call_only(qtbot, shoot, paired, press):
    ana, leo = paired(), paired(name="Leo")
    mine = aside(qtbot, lambda: ana.call("pull", HAZELNUT))[1]["entry"]
    theirs = aside(qtbot, lambda: leo.call("pull", HAZELNUT))[1]["entry"]
    for other in (theirs, 1, 999, "1", None):
        status, refused = aside(qtbot, lambda entry=other: ana.call("take_back", {"entry": entry}))
        assert status in (403, 409)
        assert refused["refused"] in (NOT_ITS_OWN, "take_back: entry must be told")
    assert aside(qtbot, lambda: ana.call("take_back", {"entry": mine}))[1]["on_disk"]
    assert shoot.running.session.ledger.undone == {mine}
    assert aside(qtbot, lambda: ana.call("take_back", {"entry": mine}))[1]["refused"] == NOT_ITS_OWN


def test_what_cannot_be_is_refused_on_the_phone_and_the_laptop_is_left_in_peace(qtbot, shoot, paired):
    ana = paired()
    told = []
    shoot.running.refused.connect(told.append)
    status, answer = aside(qtbot, lambda: ana.call("brought", {"scoop": 7}))
    assert (status, "never logged" in answer["refused"]) == (409, True)
    status, answer = aside(qtbot, lambda: ana.call("pull", {"flavour": "tar", "to": "box"}))
    assert (status, "there is no flavour “tar”" in answer["refused"]) == (409, True)
    assert told == []


def test_the_window_looks_at_rights_again_whatever_the_server_lets_through(qtbot, shoot, phones, paired):
    mia = paired("watch", "Mia")
    assert aside(qtbot, lambda: mia.call("pull", HAZELNUT))[0] == 403
    call = {"id": "0" * 32, "kind": "pull", "fields": HAZELNUT, "at": steady_seconds()}
    message = {"phones": phones.host.key, "do": "call", "token": mia.token, "call": call}

    def asked(**changes):
        return json.loads(aside(qtbot, lambda: said_to(json.dumps(message | changes).encode() + b"\n")))["refused"]

    assert asked() == "this phone may not call pull; the laptop gives that right"
    assert asked(token="x") == "This phone is not paired any more."
    assert asked(phones="x") == "only the phones' server may ask that"
    assert asked(do="dance") == "there is no such thing to ask"
    for wrong in (
        None,
        [],
        {},
        call | {"id": "../../x"},
        call | {"at": True},
        call | {"at": "now"},
        call | {"fields": 3},
    ):
        assert asked(call=wrong).startswith("a call has")
    assert entries(shoot, "pull") == []


def test_who_is_revoked_hears_and_calls_nothing_more_at_once(qtbot, shoot, phones, paired):
    ana = paired()
    phones.host.revoke(phones.host.phones.all()[0].id)

    def until_ended():
        status, answer = ana.news()
        return status == 401 and answer["ended"]

    qtbot.waitUntil(lambda: aside(qtbot, until_ended), timeout=WAIT_MS)
    for _ in range(8):
        status, answer = aside(qtbot, lambda: ana.call("pull", HAZELNUT))
        assert (status, answer["ended"]) == (401, True)
    assert entries(shoot, "pull") == []
    assert phones.host.server.slowed == {}


def test_where_another_machine_takes_the_shoot_over_phones_are_off_here(qtbot, shoot, phones, paired):
    ana = paired()
    shoot.running.taken_over.emit(None)
    assert not phones.on
    assert "pair anew with the machine that took the shoot over" in shoot.page.quiet_line.text()
    gone(qtbot, ana.news)


def test_phones_end_with_the_session_and_are_paired_anew_with_the_next(qtbot, shoot, phones, paired, plan, tmp_path):
    from studiotimer.session.live import new_session

    ana = paired()
    process = phones._process.processId()
    shoot._run(new_session(tmp_path / "next.setlog", plan))
    qtbot.waitUntil(lambda: not alive(process))
    gone(qtbot, ana.news)
    qtbot.waitUntil(lambda: shoot.services.socket is not None)
    assert shoot.services.phones is None


def test_nothing_listens_until_it_is_asked_for_and_after_it_is_turned_off(qtbot, shoot, phones):
    link = phones.link
    assert link
    phones.close()
    assert phones.link == ""
    gone(qtbot, Client(link).news)


@pytest.mark.fault("the phones' server killed")
def test_a_killed_server_comes_back_with_the_same_phones(qtbot, shoot, phones, paired):
    ana = paired()
    first = phones._process.processId()
    phones._process.kill()
    qtbot.waitUntil(
        lambda: phones.host.server.port is not None and phones._process.processId() != first, timeout=WAIT_MS
    )
    ana.host = f"127.0.0.1:{phones.host.server.port}"
    assert aside(qtbot, lambda: ana.call("pull", HAZELNUT))[1]["on_disk"]


def test_a_seen_cue_is_silent_everywhere_and_nothing_is_logged(qtbot, shoot, phones, paired):
    shoot.running.call("shot")
    ana = paired()
    cue = aside(qtbot, ana.news)[1]["cue"]
    before = len(shoot.running.session.ledger.entries)
    assert aside(qtbot, lambda: ana.post("/seen", {"cue": cue["id"]})) == (200, {})
    assert shoot.page.quiet_line.text() == "Seen by Ana."
    assert len(shoot.running.session.ledger.entries) == before


def test_the_laptop_shows_who_is_live_and_does_not_wait(qtbot, shoot, phones, paired):
    ana = paired()

    def live():
        """Ask anew: a phone that says nothing for a while is not live."""
        aside(qtbot, ana.news)
        return phones.host.server.live == {"p1"} and shoot.page.header.phones.accessibleName() == "Phones 1 live"

    qtbot.waitUntil(live, timeout=WAIT_MS)
    qtbot.waitUntil(lambda: phones.host.server.live == set(), timeout=WAIT_MS)


def test_the_socket_is_the_same_that_button_boxes_use(shoot, phones):
    assert socket_name()
    assert shoot.services.socket.phones == phones.take
