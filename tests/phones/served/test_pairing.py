"""Secrets that work once and two minutes, a question that lapses to No, tokens that are kept nowhere."""

import pytest

from studiotimer.phones.pairing import (
    ASKED_S,
    BUSY,
    FULL,
    LONGEST_NAME,
    MOST_PHONES,
    NO_SECRET,
    RENEW_S,
    SECRET_S,
    Phones,
    phone_name,
)


class Hand:
    at = 100.0

    def __call__(self):
        return self.at


@pytest.fixture
def now():
    return Hand()


@pytest.fixture
def phones(now):
    return Phones(now)


def pair(phones, name="Ana", right="assistant"):
    assert not isinstance(phones.ask(phones.secret(), name), str)
    return phones.answer(right)


def test_a_secret_works_once(phones):
    secret = phones.secret()
    assert phones.secret() == secret
    assert phones.ask(secret, "Ana").name == "Ana"
    assert phones.secret() != secret
    phones.answer(None)
    assert phones.ask(secret, "Eve") == NO_SECRET


def test_a_secret_works_two_minutes_and_the_code_shows_another_before(phones, now):
    first = phones.secret()
    now.at += RENEW_S
    second = phones.secret()
    assert second != first
    now.at += SECRET_S - RENEW_S
    assert phones.ask(first, "Ana") == NO_SECRET
    assert phones.ask(second, "Ana").name == "Ana"


@pytest.mark.parametrize("secret", ["", "x", None, 5, ["x"], "ü" * 400, "\udc80"])
def test_what_is_no_secret_pairs_nothing(phones, secret):
    phones.secret()
    assert phones.ask(secret, "Eve") == NO_SECRET
    assert phones.question is None


def test_a_question_nobody_answers_is_no_after_half_a_minute(phones, now):
    asked = phones.ask(phones.secret(), "Ana")
    now.at += ASKED_S - 0.1
    assert phones.lapsed() is None
    now.at += 0.1
    assert phones.answer("everything") is None
    assert phones.all() == []
    again = phones.ask(phones.secret(), "Ana")
    assert again.ticket != asked.ticket
    now.at += ASKED_S
    assert phones.lapsed() == again
    assert phones.question is None


def test_one_question_at_a_time_and_the_other_code_still_works(phones):
    phones.ask(phones.secret(), "Ana")
    other = phones.secret()
    assert phones.ask(other, "Eve") == BUSY
    phones.answer("watch")
    assert phones.ask(other, "Eve").name == "Eve"


def test_a_token_is_known_until_it_is_revoked_and_nothing_kept_tells_it(phones):
    paired = pair(phones)
    assert phones.of(paired.token) == paired.phone
    assert paired.token not in repr(phones.__dict__) + repr(phones.all())
    for wrong in ("", None, 3, paired.token + "x", paired.phone.digest):
        assert phones.of(wrong) is None
    phones.revoke(paired.phone.id)
    assert phones.of(paired.token) is None


def test_phones_have_names_of_their_own_in_plain_letters(phones):
    assert phone_name("  <script>alert(1)</script>") == "<script>alert(1)</sc"
    assert phone_name("a\u202eb\nc\x1b[2J") == "ab c [2J"
    assert phone_name(None) == phone_name(" \u200b ") == "phone"
    assert len(phone_name("x" * 400)) == LONGEST_NAME
    names = [pair(phones, "Ana at the freezer 99").phone.name for _ in range(3)]
    assert names == ["Ana at the freezer 9", "Ana at the freezer 2", "Ana at the freezer 3"]
    phones.call_it("p1", "Leo")
    phones.call_it("p2", "Leo")
    assert [one.name for one in phones.all()] == ["Leo", "Leo 2", "Ana at the freezer 3"]


def test_there_are_so_many_phones_and_no_more(phones):
    for _ in range(MOST_PHONES):
        pair(phones)
    assert phones.ask(phones.secret(), "Eve") == FULL
