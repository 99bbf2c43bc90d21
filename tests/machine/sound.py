"""A sound server of its own with devices that end nowhere, and recordings of what is played on them."""

import contextlib
import os
import shutil
import subprocess
import sys
import time

import numpy as np
import pytest

PROGRAMS = ("pulseaudio", "pactl", "parec")
RATE = 44_100

NEEDS = "needs pulseaudio, pactl and parec: apt-get install pulseaudio pulseaudio-utils"


def missing():
    """Whether the programs for it are not here."""
    return sys.platform != "linux" or not all(map(shutil.which, PROGRAMS))


needs_sound_server = pytest.mark.skipif(missing(), reason=NEEDS)


class SoundServer:
    """A server in a process of its own, found through `environment`."""

    def __init__(self, folder):
        self.folder = folder
        (folder / "run").mkdir(mode=0o700, exist_ok=True)
        (folder / "home").mkdir(exist_ok=True)
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("PULSE_", "DBUS_"))}
        self.environment = {**kept, "XDG_RUNTIME_DIR": str(folder / "run"), "HOME": str(folder / "home")}
        self.environment |= {"XDG_CONFIG_HOME": str(folder / "home"), "DBUS_SESSION_BUS_ADDRESS": "unix:path=/dev/null"}
        self.address = f"unix:{folder}/run/pulse/native"
        self.process = None

    def start(self, *devices):
        """Start the server with these devices, the first one the default."""
        loads = [f"-Lmodule-null-sink sink_name={name}" for name in devices]
        options = ["-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no", "--disallow-exit=no"]
        self.process = subprocess.Popen(
            ["pulseaudio", *options, *loads, "-Lmodule-native-protocol-unix"],
            env=self.environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        end = time.monotonic() + 20
        while self._ask("info").returncode:
            assert time.monotonic() < end, "the sound server does not answer"
            time.sleep(0.05)
        if devices:
            self.do("set-default-sink", devices[0])

    def _ask(self, *words):
        return subprocess.run(["pactl", *words], env=self.environment, capture_output=True, text=True)

    def do(self, *words):
        """Ask the server for something, and return what it says."""
        done = self._ask(*words)
        assert done.returncode == 0, (words, done.stderr)
        return done.stdout.strip()

    def add(self, device):
        """Plug a device in, and return its number for `take`."""
        return self.do("load-module", "module-null-sink", f"sink_name={device}")

    def take(self, module):
        """Unplug a device."""
        self.do("unload-module", module)

    def streams(self):
        """Return how many streams play."""
        return len(self.do("list", "short", "sink-inputs").splitlines())

    @contextlib.contextmanager
    def recording(self, device):
        """Give a list that holds, afterwards, what was heard on a device: one array of samples from -1 to 1."""
        command = ["parec", f"--device={device}.monitor", "--format=s16le", f"--rate={RATE}", "--channels=1"]
        file = self.folder / f"{device}.raw"
        with file.open("wb") as out:
            recorder = subprocess.Popen(
                [*command, "--latency-msec=20"], env=self.environment, stdout=out, stderr=subprocess.DEVNULL
            )
        heard = []
        try:
            end = time.monotonic() + 10
            while not file.stat().st_size:
                assert time.monotonic() < end, "nothing is recorded"
                time.sleep(0.02)
            yield heard
            time.sleep(0.2)
        finally:
            recorder.terminate()
            recorder.wait(10)
        heard.append(np.fromfile(file, "<i2") / 32768.0)

    def stop(self):
        """End the server, its devices and all."""
        if self.process is not None:
            self.process.terminate()
            self.process.wait(10)
            self.process = None


@contextlib.contextmanager
def sound_server(folder, *devices):
    """Start a server with these devices and end it in any case."""
    server = SoundServer(folder)
    server.start(*devices)
    try:
        yield server
    finally:
        server.stop()
