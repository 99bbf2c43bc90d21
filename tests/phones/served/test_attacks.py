"""What a stranger on the same network, a page of another site, or a phone that lies may try."""

import contextlib
import http.client
import json
import secrets
import socket
import ssl
import time

import pytest

from studiotimer.phones import hosting
from studiotimer.phones.door import (
    ARRIVALS,
    ARRIVALS_S,
    BURST,
    FIRST_WAIT_S,
    MOST,
    MOST_OF_ONE,
    REQUESTS_S,
    SILENT_S,
)  # fmt: skip
from tests.phones.served.client import WAIT_MS, Client, aside, context
from tests.phones.served.test_calls_of_phones import HAZELNUT, entries

STRANGER = "127.0.0.7"
"""Another address of this machine (Linux has all of 127.0.0.0/8)."""


def stranger(phones):
    return Client(phones.link, STRANGER)


def strangers(phones):
    """Yield one stranger after another, each at an address of its own: none is one that asks too often."""
    return (Client(phones.link, f"127.0.1.{number}") for number in range(1, 255))


@pytest.mark.fault("a pairing secret used again")
def test_a_replayed_secret_and_ticket_pair_nobody(qtbot, phones, paired):
    ana = paired()
    eve = Client(f"https://{ana.host}/#{ana.secret}", STRANGER)
    status, answer = aside(qtbot, lambda: eve.post("/pair", {"secret": ana.secret, "name": "Eve"}))
    assert (status, "used or is too old" in answer["refused"]) == (403, True)
    assert [one.name for one in phones.host.phones.all()] == ["Ana"]


@pytest.mark.fault("a request for another host")
def test_a_wrong_host_is_answered_nothing(qtbot, phones):
    hosts = ("evil.example", "127.0.0.1", "localhost:8722", "", "127.0.0.1:1")
    for host, one in zip(hosts, strangers(phones), strict=False):
        status, answer = aside(qtbot, lambda one=one, host=host: one.ask("GET", "/", headers={"Host": host}))
        assert status in (400, 421), host
        assert "doctype" not in str(answer).lower(), host


@pytest.mark.fault("a page of another site that posts here")
def test_another_site_cannot_post_even_with_a_token(qtbot, shoot, paired):
    ana = paired()
    for number, headers in enumerate(
        (
            {"Origin": "https://evil.example"},
            {"Origin": "null"},
            {"Origin": None},
            {"Sec-Fetch-Site": "cross-site"},
            {"Sec-Fetch-Site": "same-site"},
            {"Content-Type": "text/plain"},
            {"Content-Type": "application/x-www-form-urlencoded"},
        )
    ):
        body = {"id": f"{number:032x}", "kind": "pull", "fields": HAZELNUT}
        status, _ = aside(qtbot, lambda body=body, headers=headers: ana.post("/call", body, **headers))
        assert status in (403, 415), headers
        assert entries(shoot, "pull") == [], headers


def test_another_site_cannot_read_news(qtbot, paired):
    ana = paired()
    for headers in ({"Origin": "https://evil.example"}, {"Sec-Fetch-Site": "cross-site"}):
        assert aside(qtbot, lambda sent=headers: ana.ask("GET", "/news", headers=sent))[0] == 403


@pytest.mark.fault("tokens and secrets guessed")
def test_who_guesses_is_slowed_down_and_told_of_and_others_are_not(qtbot, shoot, phones, paired):
    ana, eve = paired(), stranger(phones)
    said = []
    phones.said.connect(said.append)

    def guess():
        eve.token, answers, began = secrets.token_urlsafe(32), [], time.monotonic()
        while answers[-4:] != [429] * 4 and len(answers) < 60:
            three = answers[-3:] == [429] * 3
            asked = eve.post("/pair", {"secret": "x", "name": "Eve"}) if three else eve.news()
            answers.append(asked[0])
        return answers, time.monotonic() - began

    answers, took_s = aside(qtbot, guess)
    assert answers[:5] == [401] * 5
    assert answers[-4:] == [429] * 4, "three more keys, and a secret"
    waited_for = len(answers[5:]) - answers[5:].count(429)
    assert FIRST_WAIT_S * (2**waited_for - 1) <= took_s, "on a busy machine a wait may end: each is twice the last"
    assert aside(qtbot, ana.news)[0] == 200
    qtbot.waitUntil(lambda: bool(said), timeout=WAIT_MS)
    assert said[0].startswith(f"A device at {STRANGER} tried wrong keys")
    assert "wrong keys" in shoot.page.header.phones.accessibleName()


@pytest.mark.fault("paths that lead out of the page's folder")
def test_no_path_leads_to_a_file(qtbot, phones):
    paths = (
        "/../pyproject.toml", "/..%2f..%2fetc/passwd", "/%2e%2e/answers.py", "//etc/passwd", "/page.js/../../x",
        "/page.js%00", "/.git/config", "/index.html?x=1", "/news/../call", "/PAGE.JS",
    )  # fmt: skip
    for path, one in zip(paths, strangers(phones), strict=False):
        status, answer = aside(qtbot, lambda one=one, path=path: one.ask("GET", path))
        assert status in (400, 404, 405), path
        assert set(answer) <= {"refused"} if isinstance(answer, dict) else len(answer) < 500, path


def test_no_other_method_does_anything(qtbot, phones):
    headers = {"Origin": f"https://{Client(phones.link).host}"}
    methods = ("PUT", "DELETE", "OPTIONS", "HEAD", "TRACE", "PATCH")
    for method, one in zip(methods, strangers(phones), strict=False):
        status, _ = aside(qtbot, lambda one=one, method=method: one.ask(method, "/call", headers=headers))
        assert status in (404, 405), method


@pytest.mark.fault("a body larger than any request")
def test_a_body_too_large_or_no_object_is_refused(qtbot, shoot, paired):
    ana = paired()
    for body in (b"x" * 100_000, b"[" * 3000, b"[]", b"{", b"\xff\xfe", b"", b"null"):
        with contextlib.suppress(ConnectionError, ssl.SSLError):
            assert aside(qtbot, lambda sent=body: ana.ask("POST", "/call", sent))[0] in (400, 413)
    assert aside(qtbot, lambda: ana.call("pull", HAZELNUT))[1]["on_disk"]


LIES = [
    {"kind": "pull", "fields": HAZELNUT | {"n": 5}},
    {"kind": "pull", "fields": HAZELNUT | {"scoop": 99}},
    {"kind": "pull", "fields": HAZELNUT | {"phone": "Stylist"}},
    {"kind": "pull", "fields": HAZELNUT | {"call_id": "0" * 32}},
    {"kind": "move", "fields": {"scoop": [1], "to": {"x": 1}}},
    {"kind": "judge", "fields": {"scoop": 1, "as": "hero"}},
    {"kind": "closed", "fields": {}},
    {"kind": "opened", "fields": {}},
    {"kind": "amend", "fields": {"entry": 1, "change": {"tick": 0}}},
    {"kind": "frame", "fields": {"name": "x"}},
    {"kind": "top_up", "fields": {"mass_kg": 1e9}},
    {"kind": "pull", "fields": {"flavour": "x" * 3000, "to": "box"}},
]


@pytest.mark.fault("a phone that lies about its call")
def test_a_phone_that_lies_makes_no_entry_a_person_with_its_rights_could_not(qtbot, shoot, paired):
    ana = paired()
    before = len(shoot.running.session.ledger.entries)
    for number, lie in enumerate(LIES):
        body = {"id": f"{number:032x}", "at": 0.0} | lie
        status, answer = aside(qtbot, lambda body=body: ana.post("/call", body))
        assert status in (403, 409), lie
        assert answer["refused"], lie
        assert len(shoot.running.session.ledger.entries) == before, lie


@pytest.mark.fault("script in names")
def test_a_name_with_script_is_shown_as_it_is_and_cut(qtbot, shoot, phones, paired):
    paired(name="<img src=x onerror=alert(1)>\u202e\n")
    shown = shoot.page.below.part.rows["p1"]
    assert shown[1].text() == "<img src=x onerror=a"
    assert phones.host.phones.all()[0].name == "<img src=x onerror=a"


def test_the_page_is_served_with_a_strict_policy_and_says_nothing_of_the_program(qtbot, phones):
    client = stranger(phones)

    def fetched(path):
        line = client.connect()
        try:
            line.request("GET", path, headers={"Host": client.host})
            answer = line.getresponse()
            answer.read()
            return answer.status, dict(answer.getheaders())
        finally:
            line.close()

    for path in ("/", "/nothing"):
        _, headers = aside(qtbot, lambda wanted=path: fetched(wanted))
        policy = headers["Content-Security-Policy"]
        assert policy.startswith("default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'")
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert (headers["Cache-Control"], headers["X-Content-Type-Options"]) == ("no-store", "nosniff")
        assert headers["Referrer-Policy"] == "no-referrer"
        assert headers.get("Server", "") == ""
        assert not {"Access-Control-Allow-Origin", "Set-Cookie"} & headers.keys()


def raw(phones, source=STRANGER):
    """Return a connection whose handshake is done and nothing said."""
    name, _, port = Client(phones.link).host.rpartition(":")
    plain = socket.create_connection((name, int(port)), timeout=90, source_address=(source, 0))
    return context().wrap_socket(plain, server_hostname=name)


def ended(line):
    """Wait until the other end has let a connection go."""
    try:
        return line.recv(4096) == b""
    except (ConnectionError, ssl.SSLError):
        return True


@pytest.mark.fault("headers that never end")
def test_who_sends_a_header_slowly_is_put_out_and_others_are_served(qtbot, phones, paired):
    ana = paired()

    def slowly():
        began = time.monotonic()
        line = raw(phones)
        with contextlib.closing(line):
            line.settimeout(90)
            try:
                for letter in b"GET / HTTP/1.1\r\nHost: x\r\nX-Slow: aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa":
                    line.sendall(bytes([letter]))
                    time.sleep(0.4)
            except OSError:
                return time.monotonic() - began
            assert ended(line)
        return time.monotonic() - began

    assert aside(qtbot, slowly) >= SILENT_S - 1
    assert aside(qtbot, ana.news)[0] == 200


@pytest.mark.fault("more connections than there is room for")
def test_who_opens_many_connections_gets_a_few_and_others_are_served(qtbot, shoot, phones, paired):
    ana = paired()
    name, _, port = ana.host.rpartition(":")

    def many():
        held = []
        with contextlib.ExitStack() as stack:
            for _ in range(300):
                line = stack.enter_context(socket.socket())
                line.settimeout(90)
                with contextlib.suppress(OSError):
                    line.bind((STRANGER, 0))
                    line.connect((name, int(port)))
                    held.append(line)
            served = ana.call("pull", HAZELNUT)[1]["on_disk"]
            open_now = 0
            for line in held:
                line.setblocking(False)
                try:
                    open_now += line.recv(1) != b""
                except BlockingIOError:
                    open_now += 1
                except OSError:
                    pass
            return open_now, served

    open_now, served = aside(qtbot, many)
    assert open_now <= MOST_OF_ONE
    assert served


@pytest.mark.fault("strangers who take every place at once")
def test_strangers_who_take_every_place_leave_room_for_a_paired_phone(qtbot, phones, paired):
    ana = paired()
    name, _, port = ana.host.rpartition(":")

    def fill():
        with contextlib.ExitStack() as stack:
            held = []
            for number in range(MOST + 2 * MOST_OF_ONE):
                line = stack.enter_context(socket.socket())
                line.settimeout(90)
                line.bind((f"127.0.1.{1 + number // MOST_OF_ONE}", 0))
                line.connect((name, int(port)))
                held.append(line)
            return ended(held[-1]), [ana.news()[0] for _ in range(4)]

    assert aside(qtbot, fill) == (True, [200] * 4)


def test_who_asks_too_often_is_let_go_and_begins_few_connections_anew(qtbot, phones):
    eve = stranger(phones)

    def hammer():
        line = eve.connect()
        answers, first = [], time.monotonic()
        with contextlib.suppress(OSError, http.client.HTTPException):
            while len(answers) < 1000:
                answers.append(eve.ask("GET", "/", line=line)[0])
        line.close()
        begun, second = 0, time.monotonic()
        with contextlib.suppress(OSError):
            while begun < 200:
                raw(phones).close()
                begun += 1
        return answers, begun, second - first, time.monotonic() - second

    answers, begun, asked_s, begun_s = aside(qtbot, hammer)
    assert answers[0] == 200
    assert answers[-1] == 429 or len(answers) <= BURST + REQUESTS_S * asked_s, (
        "a busy machine asks no faster than it may"
    )
    assert begun <= ARRIVALS + ARRIVALS_S * (asked_s + begun_s)


def test_a_phone_that_floods_with_calls_is_held_back_and_the_others_calls_are_taken(
    qtbot, shoot, phones, paired, monkeypatch
):
    monkeypatch.setattr(hosting, "CALLS_S", 0.01)  # also a busy machine takes calls faster than that
    ana, leo = paired(), paired(name="Leo")

    def flood():
        answers = [ana.call("hold" if turn % 2 else "resume")[1] for turn in range(30)]
        return answers, leo.call("pull", HAZELNUT)[1]

    answers, pulled = aside(qtbot, flood)
    assert any("more calls than hands can make" in one.get("refused", "") for one in answers)
    assert pulled["on_disk"]


def test_neither_secret_nor_token_stands_in_a_file_or_on_a_command_line(qtbot, shoot, phones, paired):
    ana = paired()
    aside(qtbot, lambda: ana.call("pull", HAZELNUT))
    held = shoot.running.session.path.read_bytes()
    for one in (ana.token, ana.secret, phones.host.key):
        assert one.encode() not in held
        assert one not in " ".join(phones._process.arguments())
    assert json.loads(held.splitlines()[-1])["phone"] == "Ana"
