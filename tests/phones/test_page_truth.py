"""What the phones' page shows is true: the laptop's time, whether news come, and green only for what is on disk."""

import statistics
import time

import pytest

from tests.phones.browser import tap, text, until
from tests.phones.conftest import live
from tests.phones.relay import Relay
from tests.phones.states import bringing, pull

WATCH = """() => {
  const shown = document.getElementById("cue-time");
  window.spied.said = [];
  new MutationObserver(() => window.spied.said.push([Date.now() / 1000, shown.textContent]))
    .observe(shown, { childList: true, characterData: true, subtree: true });
}"""
WITHIN_S = 0.1


def off(fake, page, due):
    """Return by how much each change of the countdown came late or early against the laptop's own clock [s]."""
    ahead = fake.steady() - time.time()
    found = []
    for at, words in page.evaluate("() => window.spied.said"):
        minutes, seconds = words.removeprefix("in ").split(":")
        found.append(at + ahead - (due - 60 * int(minutes) - int(seconds) - 1.0))
    return found


@pytest.mark.parametrize("delay_s", [(0.0, 0.0), (0.0, 0.25)], ids=["quick", "slow and uneven"])
def test_countdowns_follow_the_laptops_clock_within_100_ms(page, fake, delay_s):
    with Relay(fake.port, delay_s) as relay:
        due = fake.steady() + 300.4
        fake.tell(cue=bringing(fake.steady(), due=300.4))
        live(page, fake, relay)
        page.evaluate(WATCH)

        def close():
            page.wait_for_timeout(1000)
            found = off(fake, page, due)[-6:]
            return len(found) == 6 and abs(statistics.median(found)) < WITHIN_S

        until(page, close, wait_s=60.0)


def test_it_is_green_only_when_it_is_on_disk(paired, fake):
    fake.disk_s = 1.5
    paired.tap("#tubs .target >> nth=1")
    paired.wait_for_selector("#last[data-state=sending]")
    assert "✓" not in text(paired, "#last")
    green = "() => getComputedStyle(document.getElementById('last')).backgroundColor"
    before = paired.evaluate(green)
    paired.wait_for_selector("#last[data-state=on_disk]")
    until(paired, lambda: paired.evaluate(green) == "rgb(143, 208, 168)")
    assert before != "rgb(143, 208, 168)"
    assert text(paired, "#last-word") == "✓ on disk"
    assert text(paired, "#last-words") == "14 pulled, hazelnut, 10:31:57"
    call = fake.calls[0]
    assert (call["kind"], call["fields"]) == ("pull", pull({"name": "hazelnut"})["fields"])
    assert len(call["id"]) == 32
    assert abs(fake.steady() - call["at"]) < 60.0
    until(paired, lambda: paired.get_attribute("#last", "data-state") == "was")
    assert "14 pulled, hazelnut" in text(paired, "#last")


def test_a_refusal_says_why_and_is_not_green(paired, fake):
    fake.refuse = "scoop 8 is already at the set"
    paired.tap("#acts .call .target")
    paired.wait_for_selector("#last[data-state=refused]")
    assert "not logged" in text(paired, "#last")
    assert fake.refuse in text(paired, "#last")
    assert fake.disk == {}


def test_an_answer_that_got_lost_is_asked_for_again_by_the_same_id(paired, fake):
    fake.lose = 2
    paired.tap("#acts .call .target")
    paired.wait_for_selector("#last[data-state=on_disk]")
    assert len(fake.calls) >= 3
    assert len({call["id"] for call in fake.calls}) == 1
    assert len(fake.disk) == 1
    assert not any(call.get("late") for call in fake.calls)


def test_a_glove_that_bounces_makes_one_call(paired, fake):
    for _ in range(3):
        paired.evaluate("() => document.querySelector('#tubs .target').click()")
    paired.wait_for_selector("#last[data-state=on_disk]")
    assert len(fake.disk) == 1


def test_a_target_that_only_just_came_under_the_finger_is_not_meant(paired, fake):
    """The next cue's call comes to stand where the last one's stood, a moment before the tap."""
    paired.evaluate(
        """() => new MutationObserver(() => {
          const one = document.querySelector("#acts .call .target");
          if (one.textContent.includes("12 is") && !window.clicked) {
            window.clicked = true;
            setTimeout(() => one.click(), 100);
          }
        }).observe(document.querySelector("#acts"), { childList: true, characterData: true, subtree: true })"""
    )
    cue = bringing(fake.steady())
    fake.tell(cue=cue | {"id": "c9", "call": {**cue["call"], "fields": {"scoop": 12}, "title": "12 is at the set"}})
    until(paired, lambda: paired.evaluate("() => window.clicked"))
    until(paired, lambda: paired.get_attribute("#last", "data-state") == "soon")
    assert "Tap again" in text(paired, "#last")
    assert "Tap again" in text(paired, "#called")
    paired.wait_for_timeout(1000)
    assert fake.calls == []
    paired.tap("#acts .call .target")
    paired.wait_for_selector("#last[data-state=on_disk]")
    assert fake.calls[0]["fields"] == {"scoop": 12}


def test_without_news_it_is_not_live_and_later_has_no_countdown(paired, fake, relay):
    relay.cut()
    until(paired, lambda: text(paired, "#live-word").startswith("not live since "))
    assert text(paired, "#cue-time").startswith("in ")
    paired.wait_for_selector(".old")
    assert text(paired, "#cue-time").startswith("was due at ")
    shown = [one for one in paired.locator("#freezer .when").all() if one.is_visible()]
    assert shown == []
    assert "to shoot" not in text(paired, "#line")
    assert "No news for 1" in text(paired, "#ago")
    paired.tap("#other")
    assert text(paired, "#life") == ""
    relay.back()
    until(paired, lambda: text(paired, "#live-word") == "live")
    until(paired, lambda: text(paired, "#life"))
    assert fake.calls == []


@pytest.mark.parametrize(("answer", "entries"), [("#question-same", 0), ("#question-another", 1)])
def test_a_call_made_while_not_live_is_kept_and_asked_about(paired, fake, relay, answer, entries):
    relay.cut()
    paired.wait_for_selector(".stale")
    tapped = fake.steady()
    paired.tap("#tubs .target >> nth=0")
    paired.wait_for_selector("#last[data-state=kept]")
    assert "not sent" in text(paired, "#last")
    paired.wait_for_timeout(1500)
    fake.asks, fake.same = "P logged 14 at 10:32:20. The same, or another?", 41
    relay.back()
    paired.wait_for_selector("#question[open]")
    assert text(paired, "#question-words") == fake.asks
    assert "brown butter" in text(paired, "#question-title")
    assert fake.disk == {}
    paired.wait_for_timeout(700)
    paired.keyboard.press("Escape")
    assert paired.locator("#question").is_visible()
    paired.tap(answer)
    until(paired, lambda: not paired.locator("#last-kept").is_visible())
    until(paired, lambda: len(fake.disk) == entries)
    until(paired, lambda: paired.get_attribute("#last", "data-state") == ("on_disk" if entries else "dropped"))
    assert {call["id"] for call in fake.calls} == {fake.calls[0]["id"]}
    assert all(call["late"] for call in fake.calls)
    assert abs(fake.calls[0]["at"] - tapped) < 1.0
    assert paired.evaluate("() => localStorage.getItem('studiotimer calls not sent')") == "[]"


def test_a_call_whose_answer_the_cut_took_is_one_entry_and_not_asked_about(paired, fake, relay):
    fake.disk_s = 0.6
    paired.tap("#acts .call .target")
    until(paired, lambda: fake.calls)
    relay.cut()
    paired.wait_for_selector("#last[data-state=kept]")
    until(paired, lambda: len(fake.disk) == 1)
    relay.back()
    paired.wait_for_selector("#last[data-state=on_disk]")
    assert len(fake.disk) == 1
    assert not paired.locator("#question").is_visible()


def test_a_question_that_is_put_away_is_asked_again(paired, fake, relay):
    """As the back gesture of a phone does it."""
    relay.cut()
    paired.wait_for_selector(".stale")
    paired.tap("#tubs .target >> nth=0")
    paired.wait_for_selector("#last[data-state=kept]")
    relay.back()
    paired.wait_for_selector("#question[open]")
    asked = len(fake.calls)
    paired.evaluate("() => document.getElementById('question').close()")
    until(paired, lambda: len(fake.calls) > asked)
    paired.wait_for_selector("#question[open]")
    fake.tokens.clear()
    until(paired, lambda: paired.locator("#ended").is_visible())
    assert not paired.locator("#question").is_visible()
    assert "Not sent" in text(paired, "#ended-kept")
    assert fake.disk == {}


def test_kept_calls_outlive_the_page(paired, fake, relay):
    relay.cut()
    paired.wait_for_selector(".stale")
    paired.tap("#tubs .target >> nth=0")
    paired.wait_for_selector("#last[data-state=kept]")
    relay.back()
    paired.wait_for_selector("#question[open]")
    paired.reload()
    paired.wait_for_selector("#question[open]")
    assert "Nothing like it" in text(paired, "#question-words")
    assert fake.disk == {}


def test_a_phone_shut_out_says_so_and_names_what_was_not_sent(paired, fake, relay):
    relay.cut()
    paired.wait_for_selector(".stale")
    paired.tap("#tubs .target >> nth=0")
    paired.wait_for_selector("#last[data-state=kept]")
    fake.tokens.clear()
    relay.back()
    until(paired, lambda: "shut out at the laptop" in text(paired, "#ended-words"))
    assert "Not sent: Pull 14 brown butter" in text(paired, "#ended-kept")
    assert fake.disk == {}
    asked = len(fake.requests)
    paired.wait_for_timeout(2500)
    assert len(fake.requests) <= asked + 1
    paired.reload()
    until(paired, lambda: paired.locator("#ended").is_visible())


def test_seen_answers_a_cue_and_is_no_call(paired, fake):
    paired.tap("#acts .seen")
    until(paired, lambda: fake.seen == ["c1"])
    until(paired, lambda: "the set knows" in text(paired, "#acts .seen"))
    assert fake.calls == []


def test_seen_on_a_phone_out_of_reach_is_said_not_to_be_told(paired, fake, relay):
    relay.drop()
    paired.wait_for_selector(".stale")
    paired.tap("#acts .seen")
    until(paired, lambda: "not told: say it" in text(paired, "#acts .seen"))
    assert fake.seen == []
    relay.back()
    until(paired, lambda: text(paired, "#live-word") == "live")
    paired.wait_for_timeout(700)
    tap(paired, "#acts .seen")
    until(paired, lambda: "the set knows" in text(paired, "#acts .seen"))


def test_what_ends_a_cues_sound_at_the_laptop_ends_it_on_a_phone(paired, fake):
    """It rang once, is to ring again while nobody has seen the cue, and is silent as soon as the laptop says so."""
    spied = "() => window.spied"
    ended = paired.evaluate(spied)["ended"]
    fake.tell(sound={"cue": "c1"})
    until(paired, lambda: paired.evaluate(spied)["notes"] == 6)
    fake.tell(sound=None)
    until(paired, lambda: paired.evaluate(spied)["ended"] == ended + 1)
    fake.tell(sound={"cue": "c1"}, next_number=15)
    until(paired, lambda: "15" in text(paired, "#next"))
    assert paired.evaluate(spied)["notes"] == 6, "the same cue again is not due to ring yet"
    paired.evaluate("() => { const now = performance.now.bind(performance); performance.now = () => now() + 21000; }")
    until(paired, lambda: paired.evaluate(spied)["notes"] == 12)
    tap(paired, "#acts .seen")
    until(paired, lambda: paired.evaluate(spied)["ended"] == ended + 2)
    until(paired, lambda: "the set knows" in text(paired, "#acts .seen"))


def test_a_phone_that_slept_measures_its_clock_anew(paired, fake, relay):
    """Its steady clock stood still for 20 s; round trips are longer since, so that what was measured before looks better."""
    relay.delay_s = (0.06, 0.08)
    paired.evaluate(
        """() => {
          const steady = performance.now.bind(performance);
          performance.now = () => steady() - 20000;
          document.dispatchEvent(new Event("visibilitychange"));
        }"""
    )
    due = fake.state["cue"]["due"]

    def right():
        words = text(paired, "#cue-time")
        if not words.startswith("in "):
            return False
        minutes, seconds = words.removeprefix("in ").split(":")
        return abs(60 * int(minutes) + int(seconds) - (due - fake.steady())) < 2.0

    until(paired, right, wait_s=15.0)
    until(paired, lambda: text(paired, "#live-word") == "live")
