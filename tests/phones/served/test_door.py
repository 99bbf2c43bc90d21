"""Who is let in: so many at once, so many a second, and where a paired phone is always."""

import pytest

from studiotimer.phones.door import (
    ARRIVALS,
    ARRIVALS_S,
    BURST,
    FORGOTTEN_S,
    MOST_KNOWN,
    REQUESTS_S,
    Allowance,
    Manners,
)  # fmt: skip


class Clock:
    """A clock moved by hand."""

    def __init__(self):
        self.at = 1000.0

    def __call__(self):
        return self.at


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def manners(clock):
    return Manners(clock)


def many(may, address):
    count = 0
    while may(address) and count < 10_000:
        count += 1
    return count


def test_an_allowance_is_so_many_at_once_and_so_many_a_second_and_never_more():
    one = Allowance(3.0, 2.0, 0.0)
    assert [one.take(0.0) for _ in range(4)] == [True, True, True, False]
    assert [one.take(1.0) for _ in range(3)] == [True, True, False]
    assert [one.take(1000.0) for _ in range(4)] == [True, True, True, False]


def test_an_address_begins_and_asks_so_often_and_another_as_often(manners, clock):
    assert (many(manners.may_come, "a"), many(manners.may_ask, "a")) == (ARRIVALS, BURST)
    clock.at += 1.0
    assert (many(manners.may_come, "a"), many(manners.may_ask, "a")) == (ARRIVALS_S, REQUESTS_S)
    assert many(manners.may_come, "b") == ARRIVALS


def test_where_a_paired_phone_asked_not_long_ago_connections_may_always_begin(manners, clock):
    manners.was_phone("a")
    assert many(manners.may_come, "a") == 10_000
    clock.at += FORGOTTEN_S + 1.0
    assert not manners.is_phones("a")
    assert many(manners.may_come, "a") == ARRIVALS


def test_of_many_addresses_those_that_ask_are_remembered(manners, clock):
    manners.was_phone("a")
    for number in range(3 * MOST_KNOWN):
        clock.at += 0.01
        manners.may_come(f"stranger {number}")
        if number % 50 == 0:
            manners.was_phone("a")
    assert manners.is_phones("a")
    assert len(manners._known) <= MOST_KNOWN
