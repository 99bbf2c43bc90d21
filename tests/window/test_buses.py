"""A bus that is not there or says nothing keeps the window from nothing; one that answers is left as it is."""

import contextlib
import os
import shutil
import socket
import subprocess
import sys
import threading

import pytest

from studiotimer.window import buses
from studiotimer.window.buses import BUS, NO_BUS, READERS_BUS, shun_silent
from tests.screens import needs_screen, program, screen

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="the buses of Linux")
needs_bus = pytest.mark.skipif(shutil.which("dbus-daemon") is None, reason="needs dbus-daemon")


@contextlib.contextmanager
def listening(path, answers=False):
    """A bus that takes connections and says nothing, or nothing after it has let somebody in."""

    def let_in(client):
        with contextlib.suppress(OSError):
            while said := client.recv(4096):
                if b"NEGOTIATE" in said:
                    client.sendall(b"AGREE_UNIX_FD\r\n")
                elif b"AUTH" in said:
                    client.sendall(b"OK 0123456789abcdef\r\n")

    def take(bus):
        with contextlib.suppress(OSError):
            while True:
                clients.append(bus.accept()[0])
                threading.Thread(target=let_in, args=(clients[-1],), daemon=True).start()

    clients = []
    with socket.socket(socket.AF_UNIX) as bus:
        bus.bind(str(path))
        bus.listen(8)
        if answers:
            threading.Thread(target=take, args=(bus,), daemon=True).start()
        try:
            yield f"unix:path={path}"
        finally:
            bus.shutdown(socket.SHUT_RDWR)
            for client in clients:
                client.close()


@contextlib.contextmanager
def real_bus(*services):
    """A bus of its own; with no service that it could start, but a program that has these names and answers nobody."""
    pytest.importorskip("jeepney", reason="needs jeepney, which the program brings on Linux")
    asked = ["dbus-daemon", "--session", "--nofork", "--print-address"]
    bus = subprocess.Popen(asked, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    mute = None
    try:
        address = bus.stdout.readline().strip()
        mute = subprocess.Popen([sys.executable, "-c", MUTE, address, *services], stdout=subprocess.PIPE, text=True)
        assert mute.stdout.readline() == "ready\n"
        yield address
    finally:
        for process in filter(None, (mute, bus)):
            process.kill()
            process.wait(20)
            process.stdout.close()


MUTE = """
import sys, time
from jeepney import message_bus
from jeepney.io.blocking import open_dbus_connection
bus = open_dbus_connection(sys.argv[1])
for name in sys.argv[2:]:
    bus.send_and_get_reply(message_bus.RequestName(name))
print("ready", flush=True)
time.sleep(600)
"""

LOOKS = """
import sys
from studiotimer.window.buses import shun_silent
if sys.argv[1] == "ours":
    shun_silent()
from PySide6.QtDBus import QDBusConnection
QDBusConnection.sessionBus().isConnected()
"""


@pytest.mark.fault("there is no session bus")
def test_no_stray_bus_is_started(tmp_path):
    (tmp_path / "dbus-launch").write_text('#!/bin/sh\ntouch "$MARK"\nexit 1\n')
    (tmp_path / "dbus-launch").chmod(0o755)
    environment = {name: value for name, value in os.environ.items() if name not in (BUS, "XDG_RUNTIME_DIR")}
    environment |= {"PATH": f"{tmp_path}:{os.environ['PATH']}", "DISPLAY": ":9999"}

    def started(whose):
        mark = tmp_path / whose
        subprocess.run([sys.executable, "-c", LOOKS, whose], env=environment | {"MARK": str(mark)}, check=False,
                       stderr=subprocess.DEVNULL, timeout=120)  # fmt: skip
        return mark.exists()

    if not started("qt's own"):
        pytest.skip("the bus library of this system starts none")
    assert not started("ours")


def test_where_there_is_no_bus_none_is_looked_for(monkeypatch, tmp_path):
    monkeypatch.delenv(BUS, raising=False)
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    shun_silent()
    assert os.environ[BUS] == NO_BUS


@needs_bus
def test_a_bus_that_answers_stays(monkeypatch):
    monkeypatch.setattr(buses, "PATIENCE_S", 60.0)
    with real_bus() as address:
        monkeypatch.setenv(BUS, address)
        monkeypatch.setenv(READERS_BUS, address)
        shun_silent()
        assert (os.environ[BUS], os.environ[READERS_BUS]) == (address, address)


@pytest.mark.parametrize("address", ["unix:path=/nowhere", "tcp:host=localhost,port=1", "nonsense"])
def test_an_address_where_nobody_is_stays_as_it_is_for_qt_sees_so_at_once(monkeypatch, address):
    monkeypatch.setenv(BUS, address)
    monkeypatch.setenv(READERS_BUS, "unix:path=/nowhere")
    shun_silent()
    assert (os.environ[BUS], os.environ[READERS_BUS]) == (address, "unix:path=/nowhere")


@pytest.mark.parametrize("answers", [False, True])
def test_a_bus_in_the_usual_place_that_says_nothing_is_shunned(monkeypatch, tmp_path, answers):
    monkeypatch.setattr(buses, "PATIENCE_S", 0.1)
    monkeypatch.delenv(BUS, raising=False)
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    with listening(tmp_path / "bus", answers):
        shun_silent()
    assert os.environ[BUS] == NO_BUS


def test_who_answers_in_another_tongue_is_shunned(monkeypatch, tmp_path):
    with socket.socket(socket.AF_UNIX) as bus:
        bus.bind(str(tmp_path / "bus"))
        bus.listen(1)
        talks = threading.Thread(target=lambda: greeted(bus))
        talks.start()
        monkeypatch.setenv(BUS, f"unix:path={tmp_path / 'bus'}")
        shun_silent()
        talks.join(90)
    assert os.environ[BUS] == NO_BUS


def greeted(bus):
    """Let somebody in, and say what no bus says."""
    client, _ = bus.accept()
    with client:
        client.sendall(b"OK 0123456789abcdef\r\nHello, this is no bus. " * 9)
        with contextlib.suppress(OSError):
            while client.recv(4096):
                pass


@needs_bus
def test_a_silent_bus_of_screen_readers_is_shunned_and_the_session_bus_stays(monkeypatch, tmp_path):
    connect = buses.connected
    with real_bus() as address, listening(tmp_path / "readers") as readers:
        monkeypatch.setattr(buses, "connected", lambda to, _: connect(to, 0.5 if to == readers else 60.0))
        monkeypatch.setenv(BUS, address)
        monkeypatch.setenv(READERS_BUS, readers)
        shun_silent()
        assert (os.environ[BUS], os.environ[READERS_BUS]) == (address, NO_BUS)


def opens(**environment):
    """Open the real program on a virtual screen and wait for its window; one question Qt waits for takes it 25 s."""
    with screen() as display, program(display, **environment) as running:
        running.window(24)


@needs_screen
@pytest.mark.fault("the session bus takes connections and says nothing, on a real screen")
def test_the_window_opens_beside_a_silent_bus(tmp_path):
    with listening(tmp_path / "bus") as address:
        opens(**{BUS: address})


@needs_screen
@pytest.mark.fault("the session bus lets in and then says nothing, on a real screen")
def test_the_window_opens_beside_a_bus_that_falls_silent(tmp_path):
    with listening(tmp_path / "bus", answers=True) as address:
        opens(**{BUS: address})


@needs_bus
@needs_screen
@pytest.mark.fault("the service of screen readers says nothing")
def test_the_window_opens_beside_a_silent_service_of_screen_readers():
    with real_bus("org.a11y.Bus") as address:
        opens(**{BUS: address})


@needs_screen
@pytest.mark.fault("the bus of screen readers takes connections and says nothing")
def test_the_window_opens_beside_a_silent_bus_of_screen_readers(tmp_path):
    with listening(tmp_path / "readers") as readers, real_bus() as address:
        opens(**{BUS: address, READERS_BUS: readers})


@needs_bus
@needs_screen
@pytest.mark.fault("the desktop's portal, its menus and its screen saver say nothing")
def test_the_window_opens_beside_silent_services_of_the_desktop():
    silent = ("org.freedesktop.portal.Desktop", "com.canonical.AppMenu.Registrar", "org.freedesktop.ScreenSaver")
    with real_bus(*silent) as address:
        opens(XDG_CURRENT_DESKTOP="GNOME", **{BUS: address, READERS_BUS: NO_BUS})
