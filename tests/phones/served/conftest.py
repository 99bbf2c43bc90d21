"""A window on a shoot with its phones' server, at an address of this machine alone."""

import pytest

from studiotimer.phones.addresses import Address
from tests.phones.served.client import WAIT_MS, Client, aside
from tests.window.conftest import asleep, clock, patience, plan, press, session_path, shoot, window  # noqa: F401

HERE = Address("127.0.0.1", "lo")


@pytest.fixture
def phones(qtbot, shoot, monkeypatch):  # noqa: F811
    """The phones of the shoot, their panel open and their server ready."""
    monkeypatch.setattr("studiotimer.window.phones.addresses", lambda: [HERE])
    monkeypatch.setattr("studiotimer.window.set.phones_panel.addresses", lambda: [HERE])
    monkeypatch.setattr("studiotimer.window.phones.PORT", 0)
    shoot.page.act("phones")
    qtbot.waitUntil(lambda: bool(shoot.services.phones.link), timeout=WAIT_MS)
    return shoot.services.phones


@pytest.fixture
def paired(qtbot, phones):
    """Pair a phone with a right, and return what it asks with."""

    def made(right="assistant", name="Ana"):
        client = Client(phones.link)
        phones.asks.connect(lambda: phones.host.answer(right))
        status, answer = aside(qtbot, lambda: client.pair(name))
        phones.asks.disconnect()
        assert (status, answer["answer"]) == (200, "yes")
        return client

    return made
