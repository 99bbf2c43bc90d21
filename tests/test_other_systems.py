"""What is done otherwise on Windows and macOS, run here with fakes; and that no such place is left out.

What the systems themselves do is not tried here: the workflow in `.github` runs the tests on all three.
"""

import ast
import asyncio
import ctypes
import errno
import getpass
import io
import os
import resource
import socket
import struct
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest
from PySide6.QtCore import Qt

from studiotimer import apart, desktop, places
from studiotimer.phones import link, serving
from studiotimer.session import clock, locking, peer
from studiotimer.window import awake, buses, call_socket, double_click, keys
from studiotimer.wrap import heic_process, watching

PACKAGE = Path(apart.__file__).parent
SYSTEMS = ("linux", "win32", "darwin")
BEGIN = awake.Awake.begin
pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="the fakes are made for Linux")


def on(monkeypatch, system):
    monkeypatch.setattr(sys, "platform", system)


class Kernel:
    """Stands for what Windows calls its kernel: it keeps what it was asked."""

    def __init__(self):
        self.kernel32 = self
        self.asked = []

    def SetThreadExecutionState(self, state):
        self.asked.append(state)


class Locks:
    """Stands for `msvcrt`: one byte far behind the text is locked, or another process has it."""

    LK_NBLCK = 2

    def __init__(self, error=None):
        self.asked = []
        self.error = error

    def locking(self, handle, mode, many):
        self.asked.append((os.lseek(handle, 0, os.SEEK_CUR), mode, many))
        if self.error is not None:
            raise OSError(self.error, os.strerror(self.error))


class Pipe(io.BytesIO):
    """Stands for a named pipe to a window that takes every call."""

    said = b""

    def write(self, data):
        Pipe.said = bytes(data)
        self.seek(0)
        super().write(b'{"n": 7}\n')
        self.seek(0)
        return len(data)


def pipe_opened(monkeypatch, *answers):
    """Have each opening of a pipe meet the next answer, an error or the pipe; return the names that were opened."""
    names, left = [], list(answers)

    def opened(path, *arguments, **options):
        names.append((str(path), *arguments))
        answer = left.pop(0)
        if isinstance(answer, Exception):
            raise answer
        return answer

    monkeypatch.setattr(Path, "open", opened)
    return names


def test_the_machine_is_kept_awake_on_windows(monkeypatch):
    on(monkeypatch, "win32")
    kernel = Kernel()
    monkeypatch.setattr(ctypes, "windll", kernel, raising=False)
    held = awake.Awake()
    BEGIN(held)
    held.end()
    assert kernel.asked == [0x80000003, 0x80000000], "system and display, as long as it lasts; then no more"


def test_the_machine_is_kept_awake_on_macos_and_on_linux(monkeypatch):
    run = []
    monkeypatch.setattr(awake, "_run", run.append)
    monkeypatch.setenv(buses.BUS, buses.NO_BUS)
    for system in ("darwin", "linux"):
        on(monkeypatch, system)
        held = awake.Awake()
        held._hold()
        held._let_go()
    assert [command[0] for command in run] == ["caffeinate", "systemd-inhibit"]
    assert all(command[-1] == "cat" for command in run), "it ends when the pipe it reads from closes"


def test_begin_and_end_are_asked_of_a_worker_elsewhere(monkeypatch):
    on(monkeypatch, "darwin")
    monkeypatch.setattr(awake, "_run", lambda command: None)
    held = awake.Awake()
    BEGIN(held)
    held.end()


@pytest.mark.parametrize("system", SYSTEMS)
def test_only_on_linux_is_a_bus_kept_from_being_started(monkeypatch, system):
    on(monkeypatch, system)
    monkeypatch.setenv(buses.BUS, "")
    buses.shun_silent()
    assert os.environ[buses.BUS] == (buses.NO_BUS if system == "linux" else "")


@pytest.mark.parametrize(
    ("error", "outcome"),
    [(None, True), (errno.EACCES, BlockingIOError), (errno.EDEADLK, BlockingIOError), (errno.ENOSYS, False)],
)
def test_a_byte_is_locked_on_windows(monkeypatch, tmp_path, error, outcome):
    locks = Locks(error)
    monkeypatch.setitem(sys.modules, "msvcrt", locks)
    handle = os.open(tmp_path / "lock", os.O_RDWR | os.O_CREAT)
    on(monkeypatch, "win32")
    try:
        if isinstance(outcome, bool):
            assert locking._lock(handle) is outcome
        else:
            with pytest.raises(outcome):
                locking._lock(handle)
    finally:
        os.close(handle)
    assert locks.asked == [(locking._LOCKED_BYTE, 2, 1)]


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_lock_is_taken_and_let_go_on_each_system(monkeypatch, tmp_path, system):
    monkeypatch.setitem(sys.modules, "msvcrt", Locks())
    on(monkeypatch, system)
    path = tmp_path / "shoot.lock"
    held = locking.take_lock(path)
    assert held.sure
    assert held.left_by is None
    assert path.read_text().startswith("process ")
    held.release()
    assert path.exists() == (system == "win32"), "Windows removes no file that is open"


def test_a_call_goes_through_a_pipe_on_windows(monkeypatch):
    on(monkeypatch, "win32")
    monkeypatch.setattr(getpass, "getuser", lambda: "mia")
    monkeypatch.setattr(peer.time, "sleep", lambda seconds: None)
    names = pipe_opened(monkeypatch, OSError(errno.EINVAL, "all its instances are busy"), Pipe())
    assert peer.send_call("pull", {"to": "tray"}) == {"n": 7}
    assert names == [(r"\\.\pipe\studiotimer-mia", "r+b")] * 2, "one that is busy is tried again"
    assert Pipe.said == b'{"kind": "pull", "fields": {"to": "tray"}, "assume": false}\n'


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (FileNotFoundError(errno.ENOENT, "no such file"), "no studiotimer window with an open session is running"),
        (OSError(errno.EINVAL, "busy"), "the window did not say that the call is on disk"),
    ],
)
def test_no_window_on_windows_is_said(monkeypatch, error, words):
    on(monkeypatch, "win32")
    monkeypatch.setattr(getpass, "getuser", lambda: "mia")
    monkeypatch.setattr(peer.time, "sleep", lambda seconds: None)
    pipe_opened(monkeypatch, *[error] * 3)
    with pytest.raises(peer.NoWindowError, match=words):
        peer.send_call("pull", {}, patience_s=0.0)


def test_windows_has_no_sockets_to_ask(monkeypatch):
    on(monkeypatch, "win32")
    with pytest.raises(peer.NoWindowError, match="pipes, not sockets"):
        peer._through_socket(b"", 1.0)
    assert call_socket._most_peers() == call_socket.MOST_PEERS
    assert call_socket._of_the_same_user(None), "its pipe lets in no other user"


PEERS = {
    "linux": lambda user: struct.pack("3i", 7, user, 20),
    "darwin": lambda user: struct.pack("2I", 0, user) + bytes(68),
}


@pytest.mark.parametrize("system", [*SYSTEMS, "freebsd14"])
@pytest.mark.parametrize("user", [501, 502])
def test_who_is_at_the_other_end_is_asked_as_each_system_tells_it(monkeypatch, system, user):
    monkeypatch.setattr(peer.os, "getuid", lambda: 501)
    line = SimpleNamespace(getsockopt=lambda level, name, size: PEERS[system](user)[:size])
    on(monkeypatch, system)
    assert peer.user_of(line) == (user if system in PEERS else None)
    assert peer.is_ours(line) == (user == 501 or system not in PEERS), "elsewhere the folder's own rights hold"


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_peer_and_how_many_there_may_be(monkeypatch, system):
    here, there = socket.socketpair(socket.AF_UNIX)
    with here, there:
        on(monkeypatch, system)
        monkeypatch.setattr(peer, "user_of", lambda line: os.getuid())
        assert call_socket._of_the_same_user(SimpleNamespace(socketDescriptor=here.fileno))
        assert call_socket.LEAST_PEERS <= call_socket._most_peers() <= call_socket.MOST_PEERS
        if system != "win32":
            assert peer.socket_name().endswith("calls.sock")


@pytest.mark.parametrize("system", SYSTEMS)
def test_what_a_phone_asks_goes_through_a_pipe_or_a_socket(monkeypatch, system):
    """The far end answers as soon as it is connected."""
    on(monkeypatch, system)
    monkeypatch.setattr(link, "socket_name", lambda: "calls")
    monkeypatch.setattr(asyncio, "ProactorEventLoop", asyncio.SelectorEventLoop, raising=False)
    asked = []

    async def streams():
        here, there = socket.socketpair(socket.AF_UNIX)
        there.sendall(b'{"ok": true}\n')
        asked.append(there)
        return here

    async def piped(loop, factory, name):
        asked.append(name)
        return await loop.create_connection(factory, sock=await streams())

    async def connected(name, limit):
        asked.append(name)
        return await asyncio.open_connection(sock=await streams(), limit=limit)

    monkeypatch.setattr(asyncio.SelectorEventLoop, "create_pipe_connection", piped, raising=False)
    monkeypatch.setattr(asyncio, "open_unix_connection", connected)
    assert asyncio.run(link._through(b"question\n")) == b'{"ok": true}\n'
    name, there = asked
    with there:
        assert there.recv(100) == b"question\n"
    assert name == (r"\\.\pipe\calls" if system == "win32" else "calls")


@pytest.mark.parametrize("name", ["posix", "nt"])
def test_a_port_is_taken_again_at_once_only_where_no_other_could_take_it_too(monkeypatch, name):
    monkeypatch.setattr(serving, "os", SimpleNamespace(name=name))
    with serving._listening("127.0.0.1", 0) as listening:
        assert bool(listening.getsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR)) == (name == "posix")


@pytest.mark.parametrize("system", ["linux", "darwin"])
def test_a_call_goes_through_a_socket_elsewhere(monkeypatch, system):
    on(monkeypatch, system)
    monkeypatch.setattr(peer, "is_ours", lambda line: True)
    with socket.socket(socket.AF_UNIX) as window:
        window.bind(peer.socket_name())
        window.listen()
        with pytest.raises(peer.NoWindowError, match="did not say that the call is on disk"):
            peer.send_call("pull", {}, patience_s=0.05)
        Path(peer.socket_name()).unlink()


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_folder_of_ours_is_closed_to_others_where_rights_are_bits(monkeypatch, tmp_path, system):
    folder = tmp_path / "run"
    folder.mkdir(mode=0o755)
    folder.chmod(0o755)
    on(monkeypatch, system)
    places._closed_to_others(folder)
    assert folder.stat().st_mode & 0o077 == (0o055 if system == "win32" else 0)


@pytest.mark.parametrize(
    ("system", "clocks"), [("linux", "CLOCK_BOOTTIME"), ("darwin", "CLOCK_MONOTONIC_RAW"), ("win32", None)]
)
def test_each_system_has_its_steady_clock_and_only_linux_a_start_number(monkeypatch, system, clocks):
    on(monkeypatch, system)
    asked = []
    for name in ("CLOCK_BOOTTIME", "CLOCK_MONOTONIC_RAW"):
        monkeypatch.setattr(clock.time, name, name, raising=False)
    monkeypatch.setattr(clock.time, "clock_gettime", lambda which: asked.append(which) or 1.0)
    clock.steady_seconds()
    assert asked == ([clocks] if clocks else [])
    assert (clock.boot_id() is None) == (system != "linux")


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_decoder_has_limits_where_the_system_has_them(monkeypatch, system):
    limits = []
    monkeypatch.setattr(resource, "setrlimit", lambda which, how: limits.append(which))
    on(monkeypatch, system)
    heic_process._limit()
    assert bool(limits) == (system != "win32")


@pytest.mark.parametrize("system", SYSTEMS)
def test_no_console_is_shown_for_a_part_on_windows(monkeypatch, system):
    monkeypatch.setattr(subprocess, "CREATE_NO_WINDOW", 0x08000000, raising=False)
    on(monkeypatch, system)
    assert apart.unseen() == (0x08000000 if system == "win32" else 0)


@pytest.mark.parametrize("system", SYSTEMS)
def test_only_macos_tells_a_running_program_of_files(monkeypatch, system):
    on(monkeypatch, system)
    assert (double_click.application_class() is double_click.TellingApplication) == (system == "darwin")


@pytest.mark.parametrize("system", SYSTEMS)
def test_only_linux_has_a_menu_of_files(monkeypatch, system):
    on(monkeypatch, system)
    if system == "linux":
        assert desktop.uninstall() == ["Studiotimer was not in the menu."]
    else:
        with pytest.raises(desktop.DesktopError, match="is for Linux"):
            desktop.uninstall()


@pytest.mark.parametrize("name", ["posix", "nt"])
def test_a_picture_is_told_by_its_number_where_a_folder_does_not_tell_it(monkeypatch, tmp_path, name):
    picture = tmp_path / "A_0001.JPG"
    picture.write_bytes(b"x")
    asked = []
    fake = SimpleNamespace(name=name, stat=lambda path: asked.append(path) or Path(path).stat())
    with os.scandir(tmp_path) as found:
        entry = next(found)
    monkeypatch.setattr(watching, "os", fake)
    assert watching._item(entry).inode == (picture.stat().st_dev, picture.stat().st_ino)
    assert bool(asked) == (name == "nt")


@pytest.mark.parametrize(("system", "scan", "virtual"), [("linux", 11, 0), ("win32", 3, 0), ("darwin", 1, 0x13)])
def test_the_key_of_2_is_known_on_each_system(monkeypatch, system, scan, virtual):
    on(monkeypatch, system)
    pressed = SimpleNamespace(nativeScanCode=lambda: scan, nativeVirtualKey=lambda: virtual)
    assert keys.digit_of(pressed) == Qt.Key.Key_2


SYSTEM = ("sys.platform", "os.name")


def _asks(node):
    """Whether an expression compares the system's name with another."""
    compared = (ast.unparse(one.left) for one in ast.walk(node) if isinstance(one, ast.Compare))
    return any(left in SYSTEM for left in compared)


def _places():
    """Yield the file and line of each branch that hangs on the system, and of each other statement that asks for it."""
    texts = {path: path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py")}
    for path in (path for path, text in texts.items() if any(system in text for system in SYSTEM)):
        blocks = ast.walk(ast.parse(texts[path]))
        lists = [
            many
            for block in blocks
            for name in ("body", "orelse")
            if isinstance(many := getattr(block, name, None), list)
        ]
        for many in lists:
            for statement, after in zip(many, [*many[1:], None], strict=False):
                if isinstance(statement, ast.If) and _asks(statement.test):
                    other = statement.orelse[0] if statement.orelse else after
                    yield from ((path, each.lineno) for each in (statement.body[0], other) if each is not None)
                elif not hasattr(statement, "body") and _asks(statement):
                    yield path, statement.lineno


def _cases():
    """Yield each test above with each set of what it is given."""
    for name, function in list(globals().items()):
        if name.startswith("test_") and name != "test_every_place_that_asks_for_the_system_is_run_both_ways":
            given = [{}]
            for mark in getattr(function, "pytestmark", []):
                names = [mark.args[0]] if isinstance(mark.args[0], str) else [*mark.args[0]]
                sets = [dict(zip(names, each if len(names) > 1 else [each], strict=True)) for each in mark.args[1]]
                given = [one | other for one in given for other in sets]
            yield from ((function, each) for each in given)


def _run_lines(folder):
    """Return which lines of the modules that ask for the system the tests above run."""
    ran, files = set(), {str(path) for path, _ in _places()}

    def trace(frame, event, argument):
        if frame.f_code.co_filename not in files:
            return None
        ran.add((frame.f_code.co_filename, frame.f_lineno))
        return trace

    for number, (function, given) in enumerate(_cases()):
        own = folder / str(number)
        own.mkdir()
        with pytest.MonkeyPatch.context() as patch:
            usual = {"monkeypatch": patch, "tmp_path": own}
            wanted = function.__code__.co_varnames[: function.__code__.co_argcount]
            before = sys.gettrace()
            sys.settrace(trace)
            try:
                function(**{name: (usual | given)[name] for name in wanted})
            finally:
                sys.settrace(before)
    return ran


def test_every_place_that_asks_for_the_system_is_run_both_ways(tmp_path):
    """A new branch for one system fails this until a test above runs it."""
    asked, ran = set(_places()), _run_lines(tmp_path)
    assert len(asked) > 20, "they are found"
    left = sorted(f"{path.relative_to(PACKAGE)}:{line}" for path, line in asked if (str(path), line) not in ran)
    assert not left, f"run on no system here: {left}"
