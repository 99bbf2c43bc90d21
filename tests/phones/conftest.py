"""A small laptop, the way to it, and phones before it, for the tests of the phones' page."""

import pytest

pytest.importorskip("aiohttp", reason="aiohttp is not installed (pip install aiohttp)")

from tests.phones import browser as browsers
from tests.phones.fake import Fake
from tests.phones.relay import Relay


@pytest.fixture(scope="module")
def running():
    """One browser for a file of tests; skips with what has to be installed."""
    if reason := browsers.missing():
        pytest.skip(reason)
    with browsers.browser() as one:
        yield one


@pytest.fixture
def fake():
    with Fake() as one:
        yield one


@pytest.fixture
def relay(fake):
    with Relay(fake.port) as one:
        yield one


@pytest.fixture
def page(running):
    """A phone of 390 x 844; nothing on it may make its browser complain."""
    with browsers.phone(running) as one:
        yield one
        assert one.complaints == []


@pytest.fixture
def paired(page, fake, relay):
    """A phone at the freezer, live, and settled so that taps count."""
    live(page, fake, relay)
    return page


def live(page, fake, relay, at="freezer", name="Mia"):
    browsers.pair(page, f"http://127.0.0.1:{relay.port}/", fake.secret, name, at)
    browsers.until(page, lambda: browsers.text(page, "#live-word") == "live")
    browsers.until(page, lambda: not page.locator("#hush").is_visible())
    page.wait_for_timeout(700)
