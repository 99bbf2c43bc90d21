"""How the phones' page looks: large enough to be hit with gloves on, nothing cut, read in a dim room, heard by readers."""

import re

import pytest

from tests.phones.browser import SIZES, pair, phone, text, until
from tests.phones.conftest import live
from tests.phones.states import BUTTER, HAZELNUT, LONG, LONGEST, ORANGE, call, shoot

WIDTH, HEIGHT, APART = 96, 112, 12
"""Least size of a target and least space between two, in CSS pixels."""
CONTRAST = 7.0
USUAL, LONG_ONES = (BUTTER, HAZELNUT, ORANGE), (LONG, LONGEST, ORANGE)

TARGETS = """() => [...document.querySelectorAll("button")].filter((one) => one.checkVisibility()).map((one) => {
  const { left, top, right, bottom } = one.getBoundingClientRect();
  return { words: one.textContent, left, top: top + scrollY, right, bottom: bottom + scrollY };
})"""
CUT = """() => [...document.querySelectorAll("body *")].filter((one) => one.checkVisibility() && !one.closest(".unseen, input")).flatMap((one) => {
  const box = one.getBoundingClientRect();
  const cut = one.scrollWidth > one.clientWidth + 1 && one.clientWidth > 0 && getComputedStyle(one).display !== "inline";
  const high = one.scrollHeight > one.clientHeight + 4 && one.clientHeight > 0 && one.tagName === "BUTTON";
  const out = box.width > 0 && (box.left < -0.5 || box.right > innerWidth + 0.5);
  return cut || high || out ? [`${one.tagName}#${one.id}.${one.className} ${one.textContent.slice(0, 40)}`] : [];
})"""
WORDS = """() => {
  const plain = (colour) => colour.match(/[0-9.]+/g).map(Number);
  const ground = (one) => {
    for (let node = one; node; node = node.parentElement) {
      const colour = plain(getComputedStyle(node).backgroundColor);
      if (colour.length < 4 || colour[3] === 1) return colour.slice(0, 3);
    }
    return [18, 23, 26];
  };
  const found = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const one = walk.currentNode.parentElement;
    if (!walk.currentNode.data.trim() || !one.checkVisibility({ visibilityProperty: true }) || one.closest(".unseen, script, noscript")) continue;
    const style = getComputedStyle(one);
    found.push({ words: walk.currentNode.data.trim(), on: plain(style.color).slice(0, 3), ground: ground(one), px: parseFloat(style.fontSize) });
  }
  return found;
}"""


def luminance(colour):
    parts = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in (one / 255 for one in colour)
    ]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(one, other):
    """Of two colours, 1 to 21 (WCAG 2.2)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def wrong(page):
    """Return what a person with gloves on, in a dim room, could not hit or read."""
    found = [f"cut: {one}" for one in page.evaluate(CUT)]
    targets = page.evaluate(TARGETS)
    for one in targets:
        if one["right"] - one["left"] < WIDTH or one["bottom"] - one["top"] < HEIGHT - 0.5:
            found.append(f"small: {one}")
    shown = [] if page.locator("dialog[open]").count() else targets
    for index, one in enumerate(shown):
        for other in shown[index + 1 :]:
            across = max(one["left"], other["left"]) - min(one["right"], other["right"])
            down = max(one["top"], other["top"]) - min(one["bottom"], other["bottom"])
            if max(across, down) < APART - 0.5:
                found.append(f"close: {one} {other}")
    for one in page.evaluate(WORDS):
        if contrast(one["on"], one["ground"]) < CONTRAST or one["px"] < 15:
            found.append(f"hard to read: {one}")
    return found


def states(page, fake, relay):
    """Go through what a phone shows, and stop at each."""
    yield "live"
    page.tap("#line .target >> nth=0")
    page.wait_for_selector("#sheet[open]")
    yield "scoop"
    page.wait_for_timeout(700)
    page.tap("#sheet-close")
    page.tap("#tubs .target:last-child")
    page.wait_for_selector("#sheet[open]")
    yield "tubs"
    page.wait_for_timeout(700)
    page.tap("#sheet-close")
    page.tap("#tubs .target >> nth=0")
    page.wait_for_selector("#last[data-state=on_disk]")
    page.wait_for_timeout(300)
    yield "on disk"
    fake.refuse = "that tub is finished; open the next one first"
    page.tap("#tubs .target >> nth=1")
    page.wait_for_selector("#last[data-state=refused]")
    page.wait_for_timeout(300)
    yield "refused"
    fake.refuse = ""
    cue = fake.state["cue"]
    fake.tell(cue=cue | {"due": fake.steady() - 3700.0, "late_words": "the set waits for it since an hour"})
    until(page, lambda: text(page, "#cue-time") == "now")
    yield "due"
    fake.tell(
        cue=cue | {"due": fake.steady() + 2730.0, "verb": "Take the tub back", "to": "the freezer behind the set"}
    )
    until(page, lambda: text(page, "#cue-time").startswith("in 45:"))
    yield "long cue"
    fake.tell(cue=cue | {"due": fake.steady() + 7000.0, "flavour": None, "scoop": None, "from": "", "to": "", "slot": None,
                         "verb": "Top up", "words": "Top up 0.5 kg of dry ice at the box"})  # fmt: skip
    until(page, lambda: "dry ice" in text(page, "#cue-way"))
    yield "a cue without a scoop"
    page.tap("#other")
    yield "camera"
    page.tap("#other")
    relay.cut()
    page.wait_for_selector(".stale")
    yield "not live"
    page.wait_for_selector(".old")
    page.wait_for_timeout(700)
    yield "not live for long"
    page.tap("#tubs .target >> nth=0")
    page.wait_for_selector("#last[data-state=kept]")
    page.wait_for_timeout(300)
    yield "kept"
    page.tap("#other")
    yield "camera, not live"
    relay.back()
    page.wait_for_selector("#question[open]")
    yield "question"


@pytest.mark.parametrize(("size", "flavours"), [("390x844", USUAL), ("360x640", LONG_ONES)], ids=["usual", "hardest"])
def test_every_state_can_be_hit_and_read_and_nothing_is_cut(running, fake, relay, size, flavours):
    fake.state = shoot(fake.steady(), flavours)
    with phone(running, size) as page:
        live(page, fake, relay)
        found = []
        for name in states(page, fake, relay):
            page.wait_for_timeout(100)
            found += [f"{name}: {one}" for one in wrong(page)]
        assert found == []
        assert page.complaints == []


@pytest.mark.parametrize("size", SIZES)
def test_cue_time_and_its_call_are_there_without_scrolling_two_a_row(running, fake, relay, size):
    with phone(running, size) as page:
        live(page, fake, relay)
        height = page.locator("#last").bounding_box()["y"]
        for part in ("#cue-verb", "#cue-time", "#cue-scoop", "#cue-way", "#acts .call .target", "#acts .seen"):
            box = page.locator(part).bounding_box()
            assert box["y"] + box["height"] <= height, part
        rows = {}
        for one in page.locator("#tubs .target").all():
            box = one.bounding_box()
            rows[round(box["y"])] = rows.get(round(box["y"]), 0) + 1
        assert max(rows.values()) >= 2
        number = page.locator("#cue-scoop .number").evaluate("(one) => parseFloat(getComputedStyle(one).fontSize)")
        assert number > 70


@pytest.mark.parametrize("colour", ["#000000", "#FFFFFF", "#777777", "#C13B4A", "#5A2330", "#0000FF", "nonsense", ""])
def test_words_on_any_flavour_are_read(page, fake, relay, colour):
    fake.state = shoot(fake.steady(), ({**BUTTER, "colour": colour}, HAZELNUT, ORANGE))
    live(page, fake, relay)
    assert wrong(page) == []


def test_names_that_are_scripts_stay_words(page, fake, relay):
    evil = "<img src=x onerror=alert(1)><script>document.title='run'</script>"
    bad = {"name": evil, "short": evil, "colour": "red;background:url(x)"}
    fake.state = shoot(fake.steady(), (bad, HAZELNUT, ORANGE))
    fake.tell(title=evil, shot=evil, caution=evil, calls=[call("hold", evil, evil)])
    live(page, fake, relay)
    until(page, lambda: text(page, "#cue-scoop .name") == evil)
    assert page.locator("#live img, #live script").count() == 0
    assert page.title() == "Studiotimer"
    assert page.evaluate(CUT) == []


def test_a_screen_reader_is_told_and_keys_reach_everything(paired, fake):
    assert paired.get_by_role("button", name=re.compile("8 is at the set")).count() == 1
    assert paired.get_by_role("region", name="Now").count() == 1
    for name in ("Hear it", "Seen", "Take back", "hazelnut"):
        assert paired.get_by_role("button", name=re.compile(name)).count() >= 1, name
    assert paired.get_attribute("#said", "aria-live") == "polite"
    cue = fake.state["cue"]
    fake.tell(cue=cue | {"due": fake.steady() - 1.0})
    until(paired, lambda: text(paired, "#called") == "Bring 8 brown butter now")
    paired.wait_for_timeout(700)
    paired.locator("#tubs .target").nth(1).focus()
    paired.keyboard.press("Enter")
    until(paired, lambda: text(paired, "#called") == "on disk: 14 pulled, hazelnut")
    paired.locator("#line .target").first.focus()
    paired.keyboard.press("Enter")
    assert paired.get_by_role("dialog", name="8 brown butter").is_visible()
    paired.keyboard.press("Escape")
    assert not paired.locator("#sheet").is_visible()


def test_who_may_only_look_has_no_calls(page, fake, relay):
    fake.rights = "watch"
    state = shoot(fake.steady())
    cue = state["cue"] | {"call": None}
    bare = {
        "cue": cue,
        "calls": [],
        "line": [one | {"calls": []} for one in state["line"]],
        "tubs": [one | {"calls": []} for one in state["tubs"]],
    }
    fake.state = state | bare
    live(page, fake, relay)
    named = {one.text_content() for one in page.get_by_role("button").all() if one.is_visible() and one.is_enabled()}
    assert {name.split("not a call")[0] for name in named} <= {"Seen", "Hear itsound is on", "To the camera’s page"}
    assert "may look only" in text(page, "#who")


def test_the_photographers_page_has_life_ribbon_swap_frames_and_locks(page, fake, relay):
    live(page, fake, relay, "camera")
    assert re.fullmatch(r"[34]:\d\d", text(page, "#life"))
    assert "matte" in text(page, "#life-words")
    assert "in 3:" in text(page, "#swap")
    assert "7 of 12" in text(page, "#frames")
    assert [one.text_content() for one in page.locator("#locks li").all()] == [
        "✓ light locked",
        "✓ set locked",
        "○ camera not locked",
    ]
    ribbon = page.locator("#ribbon").bounding_box()
    at = page.locator("#ribbon .at").bounding_box()
    assert ribbon["x"] < at["x"] < ribbon["x"] + ribbon["width"]
    assert "frosted, matte, sheen" in page.get_attribute("#ribbon", "aria-label")


def test_who_wants_little_motion_has_none(running, fake, relay):
    with phone(running, reduced_motion="reduce") as page:
        live(page, fake, relay)
        assert page.evaluate("() => document.getAnimations().length") == 0
        assert page.locator("#last").evaluate("(one) => getComputedStyle(one).transitionDuration") == "0s"


@pytest.mark.parametrize("size", SIZES)
def test_pairing_and_its_ends_are_read_and_hit(running, fake, size):
    with phone(running, size) as page:
        page.goto(f"{fake.address}#{fake.secret}")
        page.fill("#name", "W" * 30)
        assert page.input_value("#name") == "W" * 20
        assert wrong(page) == []
        fake.answer = "asked"
        page.tap("#pairing button[value=freezer]")
        page.wait_for_selector("#asked:not([hidden])")
        assert wrong(page) == []
        fake.answer = "no"
        page.wait_for_selector("#ended:not([hidden])")
        assert wrong(page) == []
        pair(page, fake.address, "another")
        until(page, lambda: "used up" in text(page, "#ended-words"))
        assert wrong(page) == []
