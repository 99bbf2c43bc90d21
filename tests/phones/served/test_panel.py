"""The panel *Phones*: its code can be read, its question is for the mouse alone and lapses, its phones are listed."""

import hashlib
import socket

import pytest
from PySide6.QtCore import QProcess, Qt

from studiotimer.phones.pairing import ASKED_S
from studiotimer.window.set import phones_panel
from tests.phones.served.client import WAIT_MS, Client, aside, context

zxing = pytest.importorskip("zxingcpp", reason="zxing-cpp is not installed (pip install zxing-cpp)")


@pytest.fixture
def panel(shoot, phones):
    return shoot.page.below.part


def read_back(widget, path):
    """Return what a camera would read off a widget."""
    from PIL import Image

    widget.grab().save(str(path))
    with Image.open(path) as picture:
        found = zxing.read_barcodes(picture)
    return [one.text for one in found]


def press_all(shoot, qtbot):
    """Press what calls, confirms and clicks: the cue key, the foot switch's and clicker's keys, Return, Enter, Escape."""
    for key in (
        Qt.Key.Key_Space, Qt.Key.Key_PageDown, Qt.Key.Key_MediaNext, Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Y,
    ):  # fmt: skip
        qtbot.keyClick(shoot, key)
        qtbot.keyClick(shoot.page.below.part or shoot, key)


@pytest.mark.parametrize("size", [(1024, 640), (1280, 800), (1920, 1080)])
def test_the_code_is_read_back_off_the_page_and_covers_no_clock(qtbot, shoot, phones, panel, tmp_path, size):
    shoot.resize(*size)
    qtbot.waitUntil(lambda: bool(panel.code.text))
    qtbot.waitUntil(lambda: read_back(shoot, tmp_path / "page.png") == [phones.link], timeout=WAIT_MS)
    assert phones.link.partition("#")[0].endswith(f":{phones.host.server.port}/")
    top = panel.mapTo(shoot, panel.rect().topLeft()).y()
    for shown in (shoot.page.cue_label, shoot.page.clock):
        if shown.isVisible():
            assert shown.mapTo(shoot, shown.rect().bottomLeft()).y() <= top
    assert shoot.page.cue_label.isVisible()


def test_the_warning_the_danger_and_the_way_out_are_said_beside_the_code(qtbot, phones, panel):
    said = " ".join(label.text() for label in (*panel.steps, panel.honest))
    for words in (
        "Its browser warns",
        "Nothing is installed",
        "could read and act while you pair",
        "hotspot of your own",
    ):
        assert words in said


def test_the_print_beside_the_code_is_that_of_the_certificate_a_phone_is_shown(qtbot, phones, panel):
    name, _, port = Client(phones.link).host.rpartition(":")

    def shown():
        with context().wrap_socket(socket.create_connection((name, int(port)), timeout=90)) as line:
            return hashlib.sha256(line.getpeercert(binary_form=True)).hexdigest()

    seal = aside(qtbot, shown)
    panel.show_phones()
    assert panel.seal.isVisibleTo(panel)
    assert panel.seal.text().rpartition(": ")[2].replace(" ", "").lower() == seal


def test_the_question_is_answered_by_no_key_and_is_no_after_half_a_minute(qtbot, shoot, phones, panel, monkeypatch):
    host = phones.host
    asked = host.phones.ask(host.phones.secret(), "Ana")
    phones._hosted()
    panel.show_phones()
    assert panel.question.text() == "Let this phone pull and move scoops?"
    assert panel.name.text() == "“Ana”"
    for button in panel.answers.values():
        assert button.focusPolicy() == Qt.FocusPolicy.NoFocus
    press_all(shoot, qtbot)
    assert host.phones.question == asked
    assert host.phones.all() == []
    monkeypatch.setattr(host.phones, "_now", lambda: asked.until)
    host.look()
    assert (host.phones.question, host.phones.all()) == (None, [])
    assert ASKED_S == 30


@pytest.mark.parametrize(
    ("words", "right"),
    [("It may watch", "watch"), ("Yes, pull and move", "assistant"), ("Yes, everything", "everything"), ("No", None)],
)
def test_a_click_answers_and_the_phone_is_told(qtbot, phones, panel, words, right):
    client = Client(phones.link)
    phones.asks.connect(lambda: panel.answers[words].click())
    status, answer = aside(qtbot, lambda: client.pair("Ana"))
    assert status == 200
    if right is None:
        assert (answer["answer"], answer["words"]) == ("no", "The laptop said no.")
    else:
        assert (answer["answer"], answer["rights"], answer["name"]) == ("yes", right, "Ana")


def test_a_phone_that_asks_is_shown_whatever_stands_there(qtbot, shoot, phones):
    shoot.page.act("phones")
    assert shoot.page.below.name == ""
    client = Client(phones.link)
    phones.asks.connect(lambda: phones.host.answer(None))
    aside(qtbot, lambda: client.pair("Ana"))
    assert shoot.page.below.name == "phones"


def test_phones_are_listed_renamed_and_revoked_by_one_press(qtbot, shoot, phones, panel, paired):
    paired()
    paired("watch", "Mia")
    panel.show_phones()
    assert [name.text() for _, name, _ in panel.rows.values()] == ["Ana", "Mia"]
    assert panel.rows["p1"][0].text().endswith("pulls and moves")
    panel.rows["p1"][1].setText("Ana at the box")
    panel.rows["p1"][1].editingFinished.emit()
    assert phones.host.phones.all()[0].name == "Ana at the box"
    panel.rows["p1"][2].click()
    assert [one.name for one in phones.host.phones.all()] == ["Mia"]
    assert list(panel.rows) == ["p2"]


def test_where_no_phone_comes_within_a_minute_it_says_what_it_may_be(phones, panel):
    assert panel.hint.text() == ""
    panel._since -= phones_panel.NOBODY_S + 1
    panel.show_phones()
    for words in ("guest Wi-Fi", "firewall", str(phones.host.server.port), "mobile data", "hotspot of your own"):
        assert words in panel.hint.text()


def test_once_a_phone_was_heard_nothing_is_guessed_about(qtbot, phones, panel):
    aside(qtbot, lambda: Client(phones.link).ask("GET", "/"))
    qtbot.waitUntil(lambda: phones.host.server.heard, timeout=WAIT_MS)
    panel._since -= phones_panel.NOBODY_S + 1
    panel.show_phones()
    assert panel.hint.text() == ""


def test_phones_are_turned_off_and_on_again_and_stay_paired(qtbot, shoot, phones, panel, paired):
    ana = paired()
    panel.off.click()
    assert (phones.on, panel.state.text()) == (False, phones_panel.OFF)
    assert panel.code.text == ""
    panel.off.click()
    qtbot.waitUntil(lambda: bool(phones.link), timeout=WAIT_MS)
    ana.host = f"127.0.0.1:{phones.host.server.port}"
    qtbot.waitUntil(lambda: aside(qtbot, ana.news)[0] == 200, timeout=WAIT_MS)


def test_a_server_that_is_long_in_ending_is_let_go_of_once_it_has(qtbot, phones, monkeypatch):
    process = phones._process
    monkeypatch.setattr(QProcess, "waitForFinished", lambda *_: False)
    with qtbot.waitSignal(process.destroyed):
        phones.close()
    assert not phones.on


def test_a_window_without_the_call_socket_says_why_there_are_no_phones(qtbot, shoot):
    shoot.services.socket._server.close()
    shoot.page.act("phones")
    assert "Phones pair with the window that writes a session" in shoot.page.quiet_line.text()
    assert shoot.services.phones is None
