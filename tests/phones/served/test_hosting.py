"""The window's side without a window: what waits for a disk that refuses, and who is told of it."""

import pytest

from studiotimer import hops
from studiotimer.phones.hosting import BURST, TOO_MANY, Host
from studiotimer.session.live import new_session
from tests.session.clocks import HandClock
from tests.session.shoots import plan


class Calls:
    """A session as the window has it."""

    def __init__(self, session):
        self.session = session

    def call(self, kind, given=None, tick=None, at_once=True, assume=False, program=False, caller=None):
        return self.session.call(kind, given, None, tick, assume, program, caller)


@pytest.fixture
def session(tmp_path):
    found = new_session(tmp_path / "s.setlog", plan(), HandClock())
    yield found
    found.close()


@pytest.fixture
def host(session):
    host = Host(Calls(session), lambda message: None, lambda: None, lambda cue, name: None, session.clock.tick)
    host.phones.ask(host.phones.secret(), "Ana")
    host.token = host.answer("assistant").token
    return host


def call(host, kind, fields, number, answers):
    wanted = {"id": f"{number:032x}", "kind": kind, "fields": fields, "at": host._steady()}
    host.take({"phones": host.key, "do": "call", "token": host.token, "call": wanted}, answers.append)


def test_a_call_is_on_disk_only_once_the_disk_has_it(host, session):
    answers = []
    session.on_disk = 0
    call(host, "hold", {}, 1, answers)
    assert answers == []
    host.stored(session.ledger.entries[-1].n)
    assert answers[0]["on_disk"]


def test_where_the_disk_refuses_the_phone_is_told_so_and_asks_again_with_the_same_id(host, session):
    answers = []
    session.trouble = "the disk is full"
    call(host, "hold", {}, 1, answers)
    if not answers[0]["on_disk"]:
        assert answers[0]["words"] == "kept in the laptop, not on disk yet: the disk is full"
    session.trouble = None
    session.on_disk = session.ledger.entries[-1].n
    call(host, "hold", {}, 1, answers)
    assert answers[1]["on_disk"]
    assert answers[1]["entry"] == answers[0]["entry"]
    assert [entry.kind for entry in session.ledger.entries].count("hold") == 1


def test_a_phone_makes_so_many_calls_and_others_are_not_held_back(host, session):
    host.phones.ask(host.phones.secret(), "Leo")
    first, other = host.token, host.answer("assistant").token
    answers = []
    for number in range(int(BURST) + 3):
        call(host, "hold" if number % 2 else "resume", {}, number, answers)
    assert [one.get("refused") for one in answers[-3:]] == [TOO_MANY] * 3
    host.token = other
    call(host, "hold", {}, 99, answers)
    host.stored(session.ledger.entries[-1].n)
    assert answers[-1]["on_disk"]
    host.token = first
    session.clock.advance(2)
    call(host, "resume", {}, 100, answers)
    host.stored(session.ledger.entries[-1].n)
    assert answers[-1]["on_disk"]


def test_a_pull_of_each_phone_has_the_next_number(host, session):
    answers = []
    for number in range(3):
        session.clock.advance(1)
        call(host, "pull", {"flavour": "vanilla", "to": "tray"}, number, answers)
        host.stored(session.ledger.entries[-1].n)
    assert [one["words"][:8] for one in answers] == ["1 pulled", "2 pulled", "3 pulled"]


def test_each_answer_to_a_phone_is_a_hop_of_its_call(host, session, monkeypatch):
    noted = []
    monkeypatch.setattr(hops, "note", lambda category, words, *figures, ago_s=0.0: noted.append(words % figures))
    answers = []
    call(host, "hold", {}, 1, answers)
    number = session.ledger.entries[-1].n
    host.stored(number)
    own = [one for one in noted if one.startswith(f"entry {number} ")]
    assert own[:2] == [f"entry {number} asked by a phone: hold", f"entry {number} made"]
    assert f"entry {number} answered to a phone" in own
    assert answers[0]["on_disk"]
