"""The phones' page before it is paired, and what pairing gives it."""

import re
from pathlib import Path

import pytest

from tests.phones.browser import pair, phone, text, until
from tests.phones.conftest import live
from tests.phones.fake import PAGE

MOST_BYTES = 60_000


def test_the_page_is_small_whole_and_fetches_nothing_from_elsewhere():
    files = sorted(PAGE.iterdir())
    assert {file.suffix for file in files} == {".html", ".css", ".js"}
    assert sum(file.stat().st_size for file in files) < MOST_BYTES
    for file in files:
        words = file.read_text(encoding="utf-8")
        assert not re.search(r"https?://|//[a-z]+\.|url\(|@import|eval\(|innerHTML|insertAdjacentHTML|style=", words), (
            file.name
        )
        named = re.findall(r"""(?:src|href|from) ?=? ?["']([^"']+)["']""", words)
        assert all(name == "data:," or (PAGE / name.removeprefix("./")).is_file() for name in named), file.name


def test_the_secret_is_erased_at_once_and_never_in_an_address(page, fake, relay):
    page.goto(f"http://127.0.0.1:{relay.port}/#{fake.secret}")
    assert page.locator("#name").is_visible()
    assert "#" not in page.url
    live(page, fake, relay)
    page.tap("#acts .call .target")
    page.wait_for_selector("#last[data-state=on_disk]")
    token = next(iter(fake.tokens))
    for path, headers in fake.requests:
        others = [value for name, value in headers.items() if name != "Authorization"]
        assert fake.secret not in path + "".join(headers.values())
        assert token not in path + "".join(others)
    assert {path.partition("?")[0] for path, _ in fake.requests} >= {
        "/",
        "/pair",
        "/pair/answer",
        "/news",
        "/clock",
        "/call",
    }


def test_without_a_code_it_says_what_to_do(page, fake):
    page.goto(fake.address)
    assert "Phones" in until(page, lambda: page.locator("#ended:visible").all_text_contents())[0]
    assert [path for path, _ in fake.requests if path.startswith(("/news", "/clock")) or path == "/pair"] == []


@pytest.mark.parametrize(
    ("secret", "answer", "words"),
    [("s3cr3t-of-this-code", "no", "Nobody said yes within 30 s."), ("another", "yes", "used up")],
)
def test_a_no_is_told(page, fake, secret, answer, words):
    fake.answer = answer
    pair(page, fake.address, secret)
    until(page, lambda: words in text(page, "#ended-words"))


def test_it_waits_while_the_laptop_asks_and_opens_with_the_name(page, fake):
    fake.answer = "asked"
    pair(page, fake.address, fake.secret, "Mia, cold side")
    until(page, lambda: page.locator("#asked").is_visible())
    assert text(page, "#asked-name") == "Mia, cold side"
    page.wait_for_timeout(2500)
    fake.answer = "yes"
    until(page, lambda: text(page, "#live-word") == "live")
    assert list(fake.tokens.values()) == ["Mia, cold side"]
    assert "Mia, cold side" in text(page, "#who")


def test_a_laptop_out_of_reach_names_what_it_may_be(page, fake, relay):
    page.goto(f"http://127.0.0.1:{relay.port}/#{fake.secret}")
    relay.drop()
    page.fill("#name", "Mia")
    page.tap("#pairing button[value=freezer]")
    words = until(page, lambda: text(page, "#pair-words"))
    for part in ("guest isolation", "firewall", "hotspot of your own"):
        assert part in words
    relay.back()
    page.tap("#pairing button[value=freezer]")
    until(page, lambda: text(page, "#live-word") == "live")


def test_the_pairing_tap_lets_it_sound_and_keeps_the_screen_on(paired, fake):
    until(paired, lambda: "sound is on" in text(paired, "#hear"))
    assert not paired.locator("#hush").is_visible()
    assert paired.evaluate("() => window.spied.awake") >= 1
    assert "A locked phone hears nothing" in text(paired, "#awake")
    fake.tell(sound={"cue": "c1"})
    until(paired, lambda: paired.evaluate("() => window.spied.notes") == 6)
    assert paired.evaluate("() => window.spied.buzzes") >= 1
    fake.tell(sound={"cue": "c1"}, next_number=15)
    until(paired, lambda: "15" in text(paired, "#next"))
    assert paired.evaluate("() => window.spied.notes") == 6
    paired.tap("#hear")
    until(paired, lambda: paired.evaluate("() => window.spied.notes") == 12)


def test_opened_anew_it_is_still_paired_and_says_that_it_has_no_sound(paired, fake):
    paired.reload()
    until(paired, lambda: text(paired, "#live-word") == "live")
    assert len(fake.tokens) == 1
    assert paired.locator("#hush").is_visible()
    paired.tap("#cue-verb")
    until(paired, lambda: not paired.locator("#hush").is_visible())


def test_two_phones_at_once_each_have_their_own_page(running, fake, relay):
    with phone(running) as one, phone(running, "360x640") as other:
        live(one, fake, relay, name="Mia")
        live(other, fake, relay, "camera", "Jo")
        assert len(fake.tokens) == 2
        assert one.locator("#cue").is_visible()
        assert not other.locator("#cue").is_visible()
        assert other.locator("#life").is_visible()
        one.tap("#acts .call .target")
        one.wait_for_selector("#last[data-state=on_disk]")
        assert other.get_attribute("#last", "data-state") == "none"
        fake.tell(shot="Cone, take 1")
        for page in (one, other):
            until(page, lambda page=page: text(page, "#shot") == "Cone, take 1")
        assert one.complaints + other.complaints == []


def test_what_is_kept_on_the_phone_is_the_token_and_calls_alone(paired, fake):
    assert paired.evaluate("() => Object.keys(sessionStorage).sort()") == ["name", "page", "token"]
    assert paired.evaluate("() => Object.keys(localStorage)") == []
    assert paired.context.cookies() == []


def test_the_page_is_part_of_the_package():
    assert Path(PAGE, "index.html").is_file()
