"""What keeps the machine awake never outlives the window, is never waited for, and leaves no stray bus behind."""

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from studiotimer.window import awake
from studiotimer.window.buses import BUS, NO_BUS
from studiotimer.working import settled

BEGIN = awake.Awake.begin
pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="the means of Linux")

INHIBIT = """#!/bin/sh
while [ "${1#--}" != "$1" ]; do shift; done
echo $$ > "$MARK"
exec "$@"
"""
HOLDS = "from studiotimer.window.awake import Awake\nimport time\nheld = Awake()\nheld.begin()\ntime.sleep(60)\n"


def program(folder, name, text):
    path = folder / name
    path.write_text(text)
    path.chmod(0o755)


def until(true, seconds=90.0):
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end
        time.sleep(0.02)


def alive(pid):
    try:
        return "State:\tZ" not in Path(f"/proc/{pid}/status").read_text()
    except OSError:
        return False


@pytest.mark.fault("the window is ended by {how} while it keeps the machine awake")
@pytest.mark.parametrize("how", ["SIGKILL", "SIGTERM", "SIGSEGV"])
def test_no_helper_outlives_the_window(tmp_path, how):
    program(tmp_path, "systemd-inhibit", INHIBIT)
    mark = tmp_path / "pid"
    environment = os.environ | {"PATH": f"{tmp_path}:{os.environ['PATH']}", "MARK": str(mark), BUS: NO_BUS}
    window = subprocess.Popen([sys.executable, "-c", HOLDS], env=environment)
    until(lambda: mark.exists() and mark.read_text().strip())
    helper = int(mark.read_text())
    assert alive(helper)
    window.send_signal(signal.Signals[how])
    window.wait(90)
    until(lambda: not alive(helper))


def test_the_helper_ends_with_the_session(tmp_path, monkeypatch):
    program(tmp_path, "systemd-inhibit", INHIBIT)
    mark = tmp_path / "pid"
    monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
    monkeypatch.setenv("MARK", str(mark))
    monkeypatch.setenv(BUS, NO_BUS)
    held = awake.Awake()
    BEGIN(held)
    until(lambda: mark.exists() and mark.read_text().strip())
    held.end()
    until(lambda: not alive(int(mark.read_text())))


@pytest.mark.fault("a session bus that never answers")
def test_a_silent_bus_is_not_waited_for(tmp_path, monkeypatch):
    monkeypatch.setenv("PATH", str(tmp_path))
    with socket.socket(socket.AF_UNIX) as bus:
        bus.bind(str(tmp_path / "bus"))
        bus.listen(5)
        monkeypatch.setenv(BUS, f"unix:path={tmp_path / 'bus'}")
        monkeypatch.setattr(awake, "PATIENCE_S", 60.0)
        began = time.monotonic()
        held = awake.Awake()
        BEGIN(held)
        held.end()
        assert time.monotonic() - began < 30.0
    assert settled(60.0)


SAVER = """
import sys
from jeepney import DBusAddress, MatchRule, message_bus, new_method_return
from jeepney.io.blocking import open_dbus_connection
bus = open_dbus_connection(sys.argv[1])
bus.send_and_get_reply(message_bus.RequestName("org.freedesktop.ScreenSaver"))
rule = MatchRule(type="signal", interface="org.freedesktop.DBus", member="NameOwnerChanged")
bus.send_and_get_reply(message_bus.AddMatch(rule))
print("ready", flush=True)
asked = None
while True:
    message = bus.receive()
    fields = {key.name: value for key, value in message.header.fields.items()}
    if fields.get("member") == "Inhibit":
        asked = fields["sender"]
        bus.send(new_method_return(message, "u", (7,)))
        print("asked", message.body, flush=True)
    elif fields.get("member") == "NameOwnerChanged" and message.body[0] == asked and not message.body[2]:
        print("gone", flush=True)
"""


@pytest.mark.fault("the window is killed while the desktop keeps the screen lit for it")
@pytest.mark.skipif(shutil.which("dbus-daemon") is None, reason="needs a bus of its own: apt-get install dbus-daemon")
def test_a_desktop_is_asked_and_lets_go_when_the_window_is_killed(tmp_path):
    pytest.importorskip("jeepney", reason="needs jeepney, which the program brings on Linux")
    bus = subprocess.Popen(
        ["dbus-daemon", "--session", "--nofork", "--print-address"], stdout=subprocess.PIPE, text=True
    )
    try:
        address = bus.stdout.readline().strip()
        saver = subprocess.Popen([sys.executable, "-c", SAVER, address], stdout=subprocess.PIPE, text=True)
        try:
            assert saver.stdout.readline() == "ready\n"
            window = subprocess.Popen([sys.executable, "-c", HOLDS], env=os.environ | {BUS: address})
            try:
                assert saver.stdout.readline() == "asked ('studiotimer', 'a shoot is running')\n"
            finally:
                window.kill()
                window.wait(90)
            assert saver.stdout.readline() == "gone\n"
        finally:
            saver.kill()
            saver.wait(20)
            saver.stdout.close()
    finally:
        bus.kill()
        bus.wait(20)
        bus.stdout.close()
