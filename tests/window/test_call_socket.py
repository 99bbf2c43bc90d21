"""The call socket: for the same user only, and nobody who connects can hold up the others."""

import contextlib
import errno
import json
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import replace
from pathlib import Path

import pytest

from studiotimer import places
from studiotimer.cli import main
from studiotimer.errors import NoWindowError
from studiotimer.places import runtime_folder
from studiotimer.session import peer
from studiotimer.session.calls import registry
from studiotimer.session.peer import LONGEST_MESSAGE, send_call, socket_name
from studiotimer.window import call_socket
from studiotimer.window.call_socket import CallSocket

linux = pytest.mark.skipif(sys.platform != "linux", reason="looks at Linux's own lists")
NOBODY = 65534


def in_thread(qtbot, work, timeout=20_000):
    """Do `work` in a thread while the window works, and return what it returns."""
    done = []
    thread = threading.Thread(target=lambda: done.append(work()), daemon=True)
    thread.start()
    qtbot.waitUntil(lambda: bool(done), timeout=timeout)
    thread.join()
    return done[0]


def said_to(data, wait_s=90.0):
    """Send bytes and return what comes back, as text."""
    with socket.socket(socket.AF_UNIX) as line:
        line.settimeout(wait_s)
        line.connect(socket_name())
        line.sendall(data)
        answer = b""
        while part := line.recv(65536):
            answer += part
        return answer.decode()


def texts(window):
    return [entry.text for entry in window.running.session.ledger.entries if entry.kind == "note"]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"hello\n", "a call is one JSON object on a line"),
        (b"\x00\xff\xfe\n", "a call is one JSON object on a line"),
        (b"[" * 60_000 + b"\n", "a call is one JSON object on a line"),
        (b"[]\n", "a call needs its kind"),
        (b'{"kind": 3}\n', "a call needs its kind"),
        (b'{"kind": "note", "fields": []}\n', "the fields of a call are an object"),
        (b'{"kind": "note", "fields": {"n": 1, "text": "x"}}\n', "are not given by a call"),
        (b'{"kind": "closed"}\n', "closed is not a call"),
        (b'{"kind": "\\u001b[2J"}\n', "[2J"),
        (b'{"kind": "note", "fields": {"text": NaN}}\n', "text"),
        (b'{"kind": "top_up", "fields": {"mass_kg": 1e999}}\n', "mass_kg"),
        (b"x" * (LONGEST_MESSAGE * 4) + b"\n", f"a call is at most {LONGEST_MESSAGE} bytes"),
    ],
    ids=range(12),
)
@pytest.mark.fault("garbage in the call socket")
def test_garbage_is_refused_in_a_sentence_and_the_next_call_taken(qtbot, shoot, data, said):
    before = len(shoot.running.session.ledger.entries)
    answer = in_thread(qtbot, lambda: said_to(data))
    assert said in json.loads(answer)["refused"]
    assert answer.isprintable() or answer.endswith("\n")
    assert "\x1b" not in answer
    assert len(shoot.running.session.ledger.entries) == before
    assert in_thread(qtbot, lambda: send_call("note", {"text": "after"}))["n"] == before + 1


def test_a_call_that_is_the_crews_own_is_refused_to_other_programs(qtbot, shoot, monkeypatch):
    monkeypatch.setitem(registry.RECORDS, "lamp", replace(registry.RECORDS["lamp"], by="crew"))
    assert in_thread(qtbot, lambda: send_call("lamp", {})) == {"refused": "lamp is called in the window only"}
    assert shoot.running.call("lamp", {}).entry.kind == "lamp"
    assert main(["call", "lamp"]) == 2


def test_a_call_from_outside_is_shown_soon_and_many_are_shown_together(qtbot, shoot, monkeypatch):
    shown = []
    shoot.running.changed.connect(lambda: shown.append(shoot.running.session.ledger.entries[-1].n))

    def many():
        return [send_call("note", {"text": f"call {number}"})["n"] for number in range(20)]

    assert in_thread(qtbot, many) == list(range(2, 22))
    qtbot.waitUntil(lambda: bool(shown) and shown[-1] == 21, timeout=1000)
    assert shoot.page.log.rows[0].words == "call 19"


@pytest.mark.fault("a peer that goes in the middle of a call")
def test_who_goes_away_in_the_middle_leaves_nothing(qtbot, shoot):
    for data in (b"", b'{"kind": "no', b'{"kind": "note", "fields": {"text": "whole"}}\n'):
        with socket.socket(socket.AF_UNIX) as line:
            line.connect(socket_name())
            line.sendall(data)
    qtbot.waitUntil(lambda: texts(shoot) == ["whole"])
    qtbot.waitUntil(lambda: shoot.running.session.waiting == 0)
    qtbot.waitUntil(lambda: shoot.services.socket._waiting == {} or not any(shoot.services.socket._waiting.values()))


@pytest.mark.fault("a hundred peers at once")
def test_a_hundred_peers_at_once_are_all_answered(qtbot, shoot):
    answers = []

    def call(number):
        answers.append(send_call("note", {"text": f"peer {number}"}))

    def all_at_once():
        threads = [threading.Thread(target=call, args=(number,)) for number in range(100)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        return True

    in_thread(qtbot, all_at_once, timeout=60_000)
    assert sorted(answer["n"] for answer in answers) == list(range(2, 102))
    assert sorted(texts(shoot)) == sorted(f"peer {number}" for number in range(100))


@pytest.mark.fault("peers that say nothing")
def test_peers_that_say_nothing_hold_up_nobody_and_are_let_go(qtbot, shoot, monkeypatch):
    monkeypatch.setattr(call_socket, "SLOW_MS", 400)
    silent = []
    for number in range(100):
        line = socket.socket(socket.AF_UNIX)
        line.settimeout(90)
        line.connect(socket_name())
        line.sendall(b'{"kind": "note"' if number % 2 else b"")
        silent.append(line)
    began = time.monotonic()
    assert in_thread(qtbot, lambda: send_call("note", {"text": "quick"}))["n"] == 2
    assert time.monotonic() - began < 20.0, "each of a hundred would hold it for 0.4 s"

    def let_go():
        return [line.recv(10) for line in silent]

    assert in_thread(qtbot, let_go) == [b""] * 100
    for line in silent:
        line.close()
    assert texts(shoot) == ["quick"]


@pytest.mark.fault("a peer that never reads its answer")
def test_one_that_never_reads_its_answer_holds_up_nobody(qtbot, shoot):
    lines = []
    for number in range(20):
        line = socket.socket(socket.AF_UNIX)
        line.connect(socket_name())
        line.sendall(b'{"kind": "note", "fields": {"text": "deaf %d"}}\n' % number)
        lines.append(line)
    assert in_thread(qtbot, lambda: send_call("note", {"text": "quick"}))["n"] >= 2
    qtbot.waitUntil(lambda: len(texts(shoot)) == 21)
    for line in lines:
        line.close()


def test_a_word_that_is_no_text_is_taken_as_one(qtbot, shoot):
    assert in_thread(qtbot, lambda: main(["call", "note", "--text", "a\udcff\x1b[2Jb"])) == 0
    assert texts(shoot) == ["a\ufffd [2Jb"]


@pytest.mark.fault("the socket of a killed window")
def test_the_socket_of_a_killed_window_is_taken_over(qtbot, shoot, plan, tmp_path):
    name = socket_name()
    shoot.close_session()
    with socket.socket(socket.AF_UNIX) as left:
        left.bind(name)
    assert Path(name).exists()
    with pytest.raises(NoWindowError, match="no studiotimer window"):
        send_call("note", {"text": "nobody"})
    shoot.open_file(shoot.running.session.path)
    qtbot.waitUntil(lambda: shoot.services.socket is not None)
    assert in_thread(qtbot, lambda: send_call("note", {"text": "taken over"}))["n"] > 1


def test_a_second_window_leaves_the_calls_to_the_first(qtbot, shoot):
    second = CallSocket(shoot.running)
    assert second.open() == "Another studiotimer window takes the calls from other programs."
    second.close()
    assert in_thread(qtbot, lambda: send_call("note", {"text": "first"}))["n"] == 2


def test_a_folder_that_cannot_be_is_said(shoot, monkeypatch, tmp_path):
    def nowhere():
        raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR))

    monkeypatch.setattr(peer, "runtime_folder", nowhere)
    other = CallSocket(shoot.running)
    assert other.open() == "Calls from other programs cannot be taken: Not a directory."
    with pytest.raises(NoWindowError):
        send_call("note", {"text": "nobody"})


@pytest.fixture
def open_way(monkeypatch):
    """A folder for the socket that every user may enter: the socket itself must refuse."""
    folder = Path(tempfile.mkdtemp(dir="/tmp"))
    folder.chmod(0o755)
    monkeypatch.setattr(peer, "runtime_folder", lambda: folder)
    yield
    shutil.rmtree(folder)


@linux
class TestOtherUsers:
    """As another user, which only root can become."""

    @pytest.fixture(autouse=True)
    def _only_root(self):
        if os.geteuid() != 0:
            pytest.skip("only root can become another user")

    def test_are_refused(self, qtbot, open_way, shoot):
        code = (
            "import os, socket, sys\n"
            f"os.setgid({NOBODY}); os.setuid({NOBODY})\n"
            "line = socket.socket(socket.AF_UNIX)\n"
            "try:\n    line.connect(sys.argv[1])\n"
            "except PermissionError:\n    raise SystemExit(7)\n"
        )
        other = lambda: subprocess.run([sys.executable, "-c", code, socket_name()], check=False).returncode  # noqa: E731
        assert Path(socket_name()).stat().st_mode & 0o077 == 0
        assert in_thread(qtbot, other) == 7
        assert in_thread(qtbot, lambda: send_call("note", {"text": "the same user"}))["n"] == 2

    @pytest.mark.fault("a socket folder of another user")
    def test_a_folder_made_by_another_user_is_not_trusted(self, home):
        assert runtime_folder().is_relative_to(home)
        shutil.chown(runtime_folder(), NOBODY)
        with pytest.raises(PermissionError, match="belongs to another user"):
            runtime_folder()


def _sockets():
    """Return the numbers of the sockets that this process holds."""
    mine = {str(one.readlink()) for one in Path("/proc/self/fd").iterdir() if one.is_symlink()}
    return {name[8:-1] for name in mine if name.startswith("socket:[")}


@pytest.fixture
def before():
    """The sockets that the tests themselves hold."""
    return _sockets()


@linux
def test_no_network_is_opened(qtbot, before, shoot):
    assert in_thread(qtbot, lambda: send_call("note", {"text": "through the socket"}))["n"] == 2
    held = _sockets() - before
    assert held
    for family in ("tcp", "tcp6", "udp", "udp6", "raw", "raw6", "udplite", "icmp"):
        table = Path("/proc/self/net") / family
        lines = table.read_text().splitlines()[1:] if table.exists() else []
        assert not held & {line.split()[9] for line in lines}, family


@pytest.fixture
def few_descriptors():
    """Leave the program few descriptors more than it has open."""
    import resource

    before = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(
        resource.RLIMIT_NOFILE, (max(int(one.name) for one in Path("/proc/self/fd").iterdir()) + 12, before[1])
    )
    yield
    resource.setrlimit(resource.RLIMIT_NOFILE, before)


CROWD = """
import resource, socket, sys
most = resource.getrlimit(resource.RLIMIT_NOFILE)[1]
resource.setrlimit(resource.RLIMIT_NOFILE, (most, most))
lines = []
for _ in range(int(sys.argv[2])):
    line = socket.socket(socket.AF_UNIX)
    line.settimeout(20)
    try:
        line.connect(sys.argv[1])
    except OSError:
        continue
    lines.append(line)
print(len(lines), flush=True)
sys.stdin.read()
"""


@linux
@pytest.mark.fault("more idle connections than the program has descriptors")
def test_idle_connections_close_nothing_for_good(qtbot, shoot, few_descriptors):
    crowd = subprocess.Popen(
        [sys.executable, "-c", CROWD, socket_name(), "100"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    try:
        assert int(in_thread(qtbot, crowd.stdout.readline)) > 20
        qtbot.wait(500)
        answer = []

        def call():
            while not answer:
                try:
                    answer.append(send_call("note", {"text": "all the same"}, 60.0))
                except NoWindowError:
                    time.sleep(0.2)
            return True

        in_thread(qtbot, call, timeout=30_000)
        assert answer[0]["n"] == 2
    finally:
        crowd.communicate("")


@pytest.mark.fault("many idle connections at once")
def test_the_one_that_was_silent_longest_makes_room(qtbot, shoot, monkeypatch):
    monkeypatch.setattr(shoot.services.socket, "_most", 5)
    lines = []
    for _ in range(12):
        line = socket.socket(socket.AF_UNIX)
        line.settimeout(90)
        line.connect(socket_name())
        lines.append(line)
    assert in_thread(qtbot, lambda: [line.recv(1) for line in lines[:7]]) == [b""] * 7
    assert len(shoot.services.socket._peers) == 5
    lines[-1].sendall(b'{"kind": "note", "fields": {"text": "heard"}}\n')
    assert b'"n": 2' in in_thread(qtbot, lambda: lines[-1].recv(100))
    for line in lines:
        line.close()


@pytest.mark.fault("listening was lost")
def test_listening_comes_back(qtbot, shoot, monkeypatch):
    shoot.services.socket._server.close()
    with pytest.raises(NoWindowError):
        send_call("note", {"text": "nobody"})
    qtbot.waitUntil(lambda: shoot.services.socket._server.isListening(), timeout=5000)
    assert in_thread(qtbot, lambda: send_call("note", {"text": "back"}))["n"] == 2


@pytest.mark.fault("the window that took the calls was closed beside another")
def test_a_second_window_takes_the_socket_over_when_the_first_closes(qtbot, shoot):
    second = CallSocket(shoot.running)
    said = []
    second.said.connect(said.append)
    assert second.open() == call_socket.ANOTHER
    shoot.services.socket.close()
    shoot.services.socket = None
    qtbot.waitUntil(lambda: said == [call_socket.TAKEN_OVER], timeout=5000)
    assert in_thread(qtbot, lambda: send_call("note", {"text": "second"}))["n"] == 2
    second.close()


@linux
@pytest.mark.fault("the folder of the socket stands open to everybody")
def test_a_folder_of_ours_that_stands_open_is_closed(home):
    folder = runtime_folder()
    folder.chmod(0o777)
    assert runtime_folder() == folder
    assert folder.stat().st_mode & 0o777 == 0o700


@linux
@pytest.mark.fault("the folder above the socket's lets other users put another in its place")
def test_a_folder_that_others_may_replace_is_not_used(home):
    folder = runtime_folder()
    folder.parent.chmod(0o777)
    with pytest.raises(PermissionError, match="lets other users put another in its place"):
        places._closed_to_others(folder)
    with contextlib.suppress(PermissionError):
        assert runtime_folder() != folder
    folder.parent.chmod(0o1777)
    places._closed_to_others(folder)


@linux
@pytest.mark.fault("the folder of the socket is a link, or a file")
def test_a_folder_that_is_a_link_or_a_file_is_not_used(home, tmp_path):
    folder = runtime_folder()
    folder.rmdir()
    folder.symlink_to(tmp_path)
    with pytest.raises(PermissionError, match="is not a folder"):
        runtime_folder()
    folder.unlink()
    folder.write_text("")
    with pytest.raises(OSError, match=r"folder|exists"):
        runtime_folder()


HOLDS = f"""
import os, socket, sys
line = socket.socket(socket.AF_UNIX)
line.bind(sys.argv[1])
os.chmod(sys.argv[1], 0o777)
os.setgid({NOBODY}); os.setuid({NOBODY})
line.listen(5)
print("ready", flush=True)
while True:
    peer, _ = line.accept()
    peer.sendall(b'{{"n": 7}}\\n')
"""


@linux
@pytest.mark.fault("another user's socket stands where the window's should")
@pytest.mark.skipif(sys.platform != "linux" or os.geteuid() != 0, reason="only root can become another user")
def test_another_users_socket_is_never_believed(home):
    with subprocess.Popen([sys.executable, "-c", HOLDS, socket_name()], stdout=subprocess.PIPE, text=True) as other:
        try:
            assert other.stdout.readline() == "ready\n"
            with pytest.raises(NoWindowError, match="another user holds the call socket"):
                send_call("note", {"text": "secret"})
        finally:
            other.kill()


@linux
@pytest.mark.fault("another user reaches the window's socket")
@pytest.mark.skipif(sys.platform != "linux" or os.geteuid() != 0, reason="only root can become another user")
def test_another_users_call_is_not_taken(qtbot, open_way, shoot, monkeypatch):
    """Though the socket and its folder were opened to everybody."""
    name = Path(socket_name())
    name.chmod(0o777)
    for folder in [name.parent, *name.parents][:-1]:
        monkeypatch.setattr("studiotimer.places._closed_to_others", lambda folder: None)
        folder.chmod(folder.stat().st_mode | 0o055)
    code = (
        f"import os, socket, sys\nos.setgid({NOBODY}); os.setuid({NOBODY})\n"
        "line = socket.socket(socket.AF_UNIX)\nline.settimeout(90)\nline.connect(sys.argv[1])\n"
        'try:\n    line.sendall(b\'{"kind": "note", "fields": {"text": "theirs"}}\\n\')\n    print(line.recv(100))\n'
        "except OSError:\n    print(b'')\n"
    )

    def theirs():
        return subprocess.run([sys.executable, "-c", code, str(name)], capture_output=True, text=True, check=False)

    assert in_thread(qtbot, theirs).stdout == "b''\n"
    assert texts(shoot) == []
