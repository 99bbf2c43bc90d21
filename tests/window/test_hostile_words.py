"""Words made to do harm, shown in the window: never as markup, never with anything that turns or hides what is beside."""

import unicodedata

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import Qt as Gui
from PySide6.QtWidgets import QAbstractButton, QLabel, QWidget

from studiotimer.cli import main
from studiotimer.plain import plain
from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from studiotimer.window.recent import recent_sessions
from studiotimer.window.set.row_strip import RowStrip
from studiotimer.window.start import StartPage
from tests.window.conftest import PLAN

HOSTILE = [
    "<img src=x onerror=alert(1)><b>bold</b>",
    "<a href='file:///etc/passwd'>here</a>",
    "a\x1b[2J\x07b",
    "\u202egnp.exe\u2066",
    "M&M && co",
    "%s %n {0} {clock}",
]
TURNING = set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200b\ufeff")


def hostile_plan(words):
    flavours = [{"name": words, "mix": "premium"}, {"name": f"{words} two", "mix": "sorbet"}]
    shots = [{"name": words, "look": "crisp", "light": "LED 2000 lx", "takes": 2, "dressing": "0 s",
              "heroes": [{"flavour": words, "spot": words}]}]  # fmt: skip
    return parse_plan(PLAN | {"title": words, "flavours": flavours, "shots": shots})


def shown_words(window):
    """Return everything the window's widgets show or say, with where."""
    for widget in [window, *window.findChildren(QWidget)]:
        for name in ("accessibleName", "accessibleDescription", "toolTip", "windowTitle", "statusTip", "whatsThis"):
            yield widget, name, getattr(widget, name)()
        if isinstance(widget, QLabel | QAbstractButton):
            yield widget, "text", widget.text()
        if isinstance(widget, RowStrip):
            yield from ((widget, "row", row.said) for row in widget.rows)


@pytest.fixture
def hostile(request, qtbot, window, tmp_path, clock):
    words = request.param
    name = plain(words).replace("/", "-")
    window._run(new_session(tmp_path / f"{name}.setlog", hostile_plan(words), clock))
    for kind, given in [
        ("shot", {}), ("pull", {}), ("pull", {"flavour": words}), ("hero_in", {"scoops": [1]}),
        ("tub_out", {"flavour": words}), ("stand_in", {"prop": words}), ("frame", {"name": words}),
        ("hold", {"why": words}), ("note", {"text": words}), ("amend", {"change": {"text": f"{words}!"}}),
    ]:  # fmt: skip
        clock.advance(30)
        assert window.running.call(kind, given).refused is None
    qtbot.waitUntil(lambda: bool(window.running.forecast and window.running.forecast.heroes), timeout=20_000)
    return window


@pytest.mark.parametrize("hostile", HOSTILE, indirect=True, ids=range(len(HOSTILE)))
def test_no_label_tip_or_name_is_markup_or_turns_what_is_beside_it(hostile, press):
    for key in (Qt.Key.Key_N, Qt.Key.Key_Escape, Qt.Key.Key_M, Qt.Key.Key_A, Qt.Key.Key_Escape, Qt.Key.Key_C):
        press(hostile, key)
        windows = [hostile] + ([hostile.crew] if hostile.crew else [])
        for widget, what, words in (one for window in windows for one in shown_words(window)):
            about = f"{type(widget).__name__} {widget.accessibleName()!r} {what}: {words!r}"
            assert not TURNING & set(words), about
            assert not {unicodedata.category(letter) for letter in words.replace("\n", "")} & {"Cc", "Cs"}, about
            if what in ("toolTip", "whatsThis"):
                assert not Gui.mightBeRichText(words), about
            elif what == "text" and isinstance(widget, QLabel) and Gui.mightBeRichText(words):
                assert widget.textFormat() == Qt.TextFormat.PlainText, about


@pytest.mark.parametrize("hostile", HOSTILE[:1], indirect=True)
def test_the_words_are_there_as_they_were_written(hostile):
    assert plain(HOSTILE[0]) + "!" in [row.words for row in hostile.page.log.rows]
    assert plain(HOSTILE[0]) in hostile.page.line.rows[0].flavour
    assert hostile.windowTitle().startswith("<img")


def test_the_name_of_a_file_opened_before_is_plain(qtbot, window, tmp_path):
    path = tmp_path / "<img src=x>\x1b[2J\u202e&.setlog"
    new_session(path, parse_plan(PLAN)).close()
    window.open_file(path)
    assert window.close_session()
    qtbot.waitUntil(lambda: bool(recent_sessions()))
    again = StartPage()
    qtbot.addWidget(again)
    qtbot.waitUntil(lambda: bool(again.recent))
    tip = again.recent[0].toolTip()
    assert "&lt;img src=x&gt;" in tip
    assert "<img" not in tip
    for words in (again.recent[0].text(), again.recent[0].accessibleName(), tip, window.windowTitle()):
        assert words.isprintable()


def test_a_message_from_anywhere_is_plain(shoot):
    shoot.say("<b>\x1b[2J\u202e</b>")
    assert shoot.page.quiet_line.textFormat() == Qt.TextFormat.PlainText
    shoot.start.say("<b>x</b>")
    assert shoot.start.message.textFormat() == Qt.TextFormat.PlainText


@pytest.mark.parametrize(
    "arguments",
    [
        ["verify", "no\x1b[2J\u202esuch.setlog"],
        ["verify", "x", "--\x1b[2J"],
        ["call", "\x1b[2J"],
        ["call", "note", "--text"],
        ["call", "judge", "--as", "\x1b[2J\u202e"],
        ["call", "lamp", "--on", "\x1b[2J\u202e"],
        ["call", "top-up", "--mass-kg", "\x1b[2J\u202e"],
        ["call", "amend", "--change", "\x1b[2J\u202e"],
        ["call", "note", "--text", "\x1b[2J\u202e"],
        ["rehearse", "no\x1b[2J\u202esuch.setlog"],
        ["no\x1b[2J\u202esuch.setlog"],
        ["--\x1b[2J\u202e"],
        [
            "life",
            "--mix",
            "\x1b[2J\u202e",
            "--from",
            "-16C",
            "--room",
            "22C",
            "--humidity",
            "45",
            "--light",
            "LED 2000 lx",
        ],
        ["dryice", "--mass", "\x1b[2J\u202e", "--form", "slab", "--room", "22C", "--hours", "3"],
        ["prep", "no\x1b[2J\u202esuch.json", "--out", "out"],
        ["wrap", "no\x1b[2J\u202esuch.setlog", "--out", "out"],
    ],
    ids=range(16),
)
def test_nothing_harmful_reaches_the_terminal(capsys, arguments):
    assert main(arguments) != 0
    said = capsys.readouterr()
    for words in (said.out, said.err):
        assert not {unicodedata.category(letter) for letter in words.replace("\n", "")} & {"Cc", "Cs"}
        assert not TURNING & set(words)
    assert said.err.strip()
    assert "Traceback" not in said.err


def test_verify_names_damage_without_showing_it(tmp_path, capsys):
    path = tmp_path / "d\x1b[2Jamaged.setlog"
    session = new_session(path, parse_plan(PLAN))
    session.call("note", {"text": "before"})
    assert session.close()
    lines = path.read_bytes().splitlines(keepends=True)
    lines[2] = b'{"n":2,"kind":"\x1b[2J\xe2\x80\xae","\x07":1}\n'
    path.write_bytes(b"".join(lines))
    assert main(["verify", str(path)]) == 1
    said = capsys.readouterr().out
    assert said.startswith("damaged")
    assert said.replace("\n", "").isprintable()
    assert main(["verify", str(path), "--json"]) == 1
    assert capsys.readouterr().out.replace("\n", "").isprintable()


def test_the_fixture_would_see_a_label_of_markup(qtbot):
    label = QLabel("<b>bold</b>")
    qtbot.addWidget(label)
    assert Gui.mightBeRichText(label.text())
    assert label.textFormat() == Qt.TextFormat.AutoText
