"""A phone's browser and the real program: from the code on the screen to what is on disk."""

import re
import signal

import pytest

from tests.phones import browser as browsers
from tests.phones.browser import tap, text, until
from tests.phones.laptop import far_phone, laptop, let_in, missing
from tests.phones.relay import Relay

LONG_S = 60.0


@pytest.fixture(scope="module")
def running():
    if reason := missing():
        pytest.skip(reason)
    with browsers.browser() as one:
        yield one


@pytest.fixture(scope="module")
def studio(running, tmp_path_factory):
    with laptop(tmp_path_factory.mktemp("phones")) as one:
        yield one


def on_disk(page):
    until(page, lambda: page.get_attribute("#last", "data-state") == "on_disk", LONG_S)


def gone(studio, name):
    """Revoke a phone with one press."""
    studio.click(f"revoke {name}")


def test_a_phone_is_paired_by_the_code_on_the_screen_and_a_cue_is_answered_green(running, studio):
    with far_phone(running) as (page, _):
        address = studio.show_code(page)
        assert re.fullmatch(r"https://[0-9.]+:\d+/#[\w-]{20,}", address)
        page.fill("#name", "Mia")
        page.tap("#pairing button[value=freezer]")
        studio.until(lambda: studio.sees("question: Let this phone pull and move scoops?"))
        before = len(studio.entries())
        studio.press("space", "Return")
        page.wait_for_timeout(1500)
        assert page.locator("#asked").is_visible()
        studio.click("Yes, pull and move")
        until(page, lambda: text(page, "#live-word") == "live", LONG_S)
        assert "#" not in page.url
        taken = [entry for entry in studio.entries()[before:] if entry.kind == "hero_in"]
        if taken:
            studio.call("take-back")
        until(page, lambda: text(page, "#cue-verb") == "Bring", LONG_S)
        assert studio.code(), "another code is there for the next phone"
        page.wait_for_timeout(800)
        title = text(page, "#acts .call .title")
        tap(page, "#acts .call .target")
        on_disk(page)
        brought = studio.counting("brought")
        assert len(brought) == 1
        assert title.startswith(f"{brought[0].scoop} ")
        assert brought[0].phone == "Mia"
        assert "Mia" in studio.path.read_text(encoding="utf-8")
        assert page.complaints == []
        gone(studio, "Mia")
        until(page, lambda: "no longer paired" in text(page, "#ended-title"), LONG_S)


def test_a_cut_a_call_meanwhile_and_the_double_that_is_asked_about(running, studio):
    with far_phone(running) as (page, way):
        let_in(page, studio, "Ned")
        pulled = len(studio.counting("pull"))
        for answer, more in (("#question-same", 1), ("#question-another", 2)):
            way.cut()
            page.wait_for_selector(".stale")
            tap(page, "#tubs .target >> nth=0")
            until(page, lambda: page.get_attribute("#last", "data-state") == "kept", LONG_S)
            studio.call("pull", "--flavour", "vanilla", "--to", "box")
            page.wait_for_timeout(1000)
            way.back()
            until(page, lambda: page.locator("#question").is_visible(), LONG_S)
            assert "logged" in text(page, "#question-words")
            assert len(studio.counting("pull")) == pulled + 1
            page.wait_for_timeout(800)
            page.tap(answer)
            until(page, lambda: not page.locator("#last-kept").is_visible(), LONG_S)
            studio.until(lambda more=more, pulled=pulled: len(studio.counting("pull")) == pulled + more)
            pulled = len(studio.counting("pull"))
        on_disk(page)
        assert studio.counting("pull")[-1].phone == "Ned"
        gone(studio, "Ned")


def test_nothing_like_it_meanwhile_is_asked_about_too(running, studio):
    with far_phone(running) as (page, way):
        let_in(page, studio, "Ida")
        way.cut()
        page.wait_for_selector(".stale")
        tap(page, "#calls .target:has-text('Hold')")
        until(page, lambda: page.get_attribute("#last", "data-state") == "kept", LONG_S)
        way.back()
        until(page, lambda: page.locator("#question").is_visible(), LONG_S)
        assert studio.counting("hold") == []
        page.wait_for_timeout(800)
        page.tap("#question-same")
        until(page, lambda: not page.locator("#last-kept").is_visible(), LONG_S)
        assert studio.counting("hold") == []
        gone(studio, "Ida")


def test_two_phones_at_once_and_what_each_may(running, studio):
    with far_phone(running) as (one, _), far_phone(running, "360x640") as (other, _):
        let_in(one, studio, "Ann", "assistant")
        let_in(other, studio, "Bo", "everything", "camera")
        until(other, lambda: other.locator("#calls .target").count() > 3, LONG_S)
        assert one.locator("#calls .target:has-text('Hero in')").count() == 0
        pulled = len(studio.counting("pull"))
        tap(one, "#tubs .target >> nth=0")
        on_disk(one)
        number = studio.counting("pull")[-1].scoop
        until(other, lambda: other.evaluate("() => document.body.textContent").count(f"{number} ") > 0, LONG_S)
        assert len(studio.counting("pull")) == pulled + 1
        one.wait_for_timeout(1000)
        tap(one, "#calls .target:has-text('Take back')")
        on_disk(one)
        studio.until(lambda: len(studio.counting("pull")) == pulled)
        gone(studio, "Ann")
        until(one, lambda: one.locator("#ended").is_visible(), LONG_S)
        assert text(other, "#live-word") == "live"
        gone(studio, "Bo")


def test_a_laptop_killed_and_opened_again_has_each_call_once(running, studio):
    with far_phone(running) as (page, _):
        let_in(page, studio, "Kim")
        pulled = len(studio.counting("pull"))
        tap(page, "#tubs .target >> nth=0")
        on_disk(page)
        studio.kill()
        until(page, lambda: "not live" in text(page, "#live-word"), LONG_S)
        tap(page, "#tubs .target >> nth=0")
        until(page, lambda: page.get_attribute("#last", "data-state") == "kept", LONG_S)
        assert len(studio.counting("pull")) == pulled + 1
        studio.open()
        until(page, lambda: page.locator("#ended").is_visible(), LONG_S)
        assert "Not sent" in text(page, "#ended-kept")
        let_in(page, studio, "Kim") if not page.locator("#question").is_visible() else None
        until(page, lambda: page.locator("#question").is_visible(), LONG_S)
        assert len(studio.counting("pull")) == pulled + 1
        page.wait_for_timeout(800)
        page.tap("#question-another")
        on_disk(page)
        assert len(studio.counting("pull")) == pulled + 2
        ids = [entry.call_id for entry in studio.entries() if getattr(entry, "call_id", None)]
        assert len(ids) == len(set(ids))
        gone(studio, "Kim")


@pytest.mark.parametrize("logged", [True, False], ids=["on disk, its answer lost", "never taken in"])
@pytest.mark.fault("the laptop killed while a phone waits for the answer to its call")
def test_a_laptop_killed_before_it_answered_has_the_call_once_or_it_is_asked_about(running, studio, logged):
    with far_phone(running) as (page, way):
        let_in(page, studio, "Pia")
        pulled = len(studio.counting("pull"))
        if logged:
            way.deafen()
        else:
            studio.program.process.send_signal(signal.SIGSTOP)
        tap(page, "#tubs .target >> nth=0")
        assert page.get_attribute("#last", "data-state") == "sending"
        if logged:
            studio.until(lambda: len(studio.counting("pull")) == pulled + 1)
        else:
            page.wait_for_timeout(1000)
        studio.kill()
        way.back()
        until(page, lambda: re.match(r"not live since \d\d:\d\d:\d\d$", text(page, "#live-word")), LONG_S)
        until(page, lambda: page.get_attribute("#last", "data-state") == "kept", LONG_S)
        studio.open()
        until(page, lambda: page.locator("#ended").is_visible(), LONG_S)
        assert "Not sent" in text(page, "#ended-kept")
        let_in(page, studio, "Pia")
        if not logged:
            until(page, lambda: page.locator("#question").is_visible(), LONG_S)
            assert "logged" in text(page, "#question-words")
            assert len(studio.counting("pull")) == pulled
            page.wait_for_timeout(800)
            page.tap("#question-another")
        until(page, lambda: page.get_attribute("#last", "data-state") in ("on_disk", "was"), LONG_S)
        assert not page.locator("#question").is_visible()
        assert not page.locator("#last-kept").is_visible()
        pull = studio.counting("pull")[-1]
        assert (len(studio.counting("pull")), pull.phone) == (pulled + 1, "Pia")
        assert studio.path.read_text(encoding="utf-8").count(f'"call_id":"{pull.call_id}"') == 1
        gone(studio, "Pia")


def test_an_answer_that_no_phone_heard_is_one_entry(running, studio):
    """The net is cut when the call is on its way; the laptop may have it or not."""
    with far_phone(running) as (page, way):
        let_in(page, studio, "Lu")
        for _ in range(2):
            pulled = len(studio.counting("pull"))
            tap(page, "#tubs .target >> nth=0")
            way.cut()
            until(page, lambda: page.get_attribute("#last", "data-state") in ("kept", "on_disk"), LONG_S)
            way.back()
            until(
                page,
                lambda: (
                    page.locator("#question").is_visible() or page.get_attribute("#last", "data-state") == "on_disk"
                ),
                LONG_S,
            )
            if page.locator("#question").is_visible():
                page.wait_for_timeout(800)
                page.tap("#question-another")
                on_disk(page)
            assert len(studio.counting("pull")) == pulled + 1
            until(page, lambda: text(page, "#live-word") == "live", LONG_S)
            until(page, lambda: page.get_attribute("#last", "data-state") == "was", LONG_S)
        gone(studio, "Lu")


def test_a_way_that_only_delays_is_still_live(running, studio):
    with far_phone(running) as (page, way):
        let_in(page, studio, "Oz")
        way.delay_s = (0.05, 0.2)
        page.wait_for_timeout(5000)
        assert text(page, "#live-word") == "live"
        assert isinstance(way, Relay)
        gone(studio, "Oz")
