"""The server is gone with its window, however that ends."""

import os
import subprocess
import sys
import time

import psutil
import pytest

KILLED = """
import os, signal, sys
from pathlib import Path
from PySide6.QtWidgets import QApplication
from PySide6.QtTest import QTest
app = QApplication([])
from studiotimer.phones.addresses import Address
from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from studiotimer.window.main import MainWindow
from studiotimer.window.phones import PhoneServer
from tests.window.conftest import PLAN
window = MainWindow()
window._run(new_session(Path(sys.argv[1]), parse_plan(PLAN)))
while window.services.socket is None:
    QTest.qWait(20)
server = PhoneServer(window.running, window.page, window)
window.services.socket.phones = server.take
server.open(Address("127.0.0.1", "lo"))
while not server.link:
    QTest.qWait(20)
print(server._process.processId(), flush=True)
os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system has no SIGKILL")
@pytest.mark.fault("the window killed while phones are paired")
def test_the_server_is_gone_with_a_killed_window(tmp_path):
    killed = subprocess.run(
        [sys.executable, "-c", KILLED, str(tmp_path / "s.setlog")], capture_output=True, text=True, timeout=200,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
    )  # fmt: skip
    server = int(killed.stdout)
    end = time.monotonic() + 90
    while alive(server):
        assert time.monotonic() < end
        time.sleep(0.1)


def alive(number):
    """Whether a process is there and not only not taken note of yet."""
    try:
        return psutil.Process(number).status() != psutil.STATUS_ZOMBIE
    except psutil.NoSuchProcess:
        return False
