"""What all scenes share: a screen, a bus of screen readers with eyes on it, a sound server, the clock that leaps."""

import contextlib
import json
import shutil
import subprocess
from pathlib import Path

from tests.machine import reader as readers
from tests.machine import sound
from tests.scenes import leaping
from tests.screens import Program

EYES = Path(__file__).with_name("eyes.py")
SIZE = "1280x800x24"
SPEAKER = "speaker"


def lacking():
    """Return what scenes need and this machine has not, in words; None when all is here."""
    lacks = [readers.NEEDS] * readers.missing() + [sound.NEEDS] * sound.missing()
    lacks += ["needs a C compiler: apt-get install gcc libc6-dev"] * (shutil.which("cc") is None)
    return "; ".join(lacks) or None


class Eyes:
    """Reads the program as a screen reader does."""

    def __init__(self, environment):
        self._process = subprocess.Popen(
            [readers.PYTHON, "-P", EYES], env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL, text=True,
        )  # fmt: skip
        assert self._process.stdout.readline(), "the readers' bus does not answer"

    def see(self, pid, begins=""):
        """Return (role, name, description, middle) of whatever a program shows whose name begins so."""
        self._process.stdin.write(json.dumps({"program": pid, "begins": begins}) + "\n")
        self._process.stdin.flush()
        return json.loads(self._process.stdout.readline())

    def close(self):
        """Look no more."""
        self._process.stdin.close()
        self._process.wait(10)
        self._process.stdout.close()


class InsideProgram(Program):
    """The program, run by another one that makes its surroundings."""

    def __init__(self, display, arguments, inside=(), **environment):
        self._inside = inside
        super().__init__(display, arguments, **environment)

    def command(self, *arguments):
        """Return the command line that runs the program."""
        return [*self._inside, *super().command(*arguments)]


class House:
    """The screen, the bus and the eyes; programs are begun in it one after another."""

    def __init__(self, folder, display, bus, library, server):
        self.folder, self.display, self.library, self.server = folder, display, library, server
        self.eyes = Eyes(bus.environment)
        given = ("DBUS_SESSION_BUS_ADDRESS", "XDG_RUNTIME_DIR")
        self._environment = {name: bus.environment[name] for name in given}
        self._environment |= {"QT_LINUX_ACCESSIBILITY_ALWAYS_ON": "1", "PULSE_SERVER": server.address}

    def program(self, home, arguments, inside=(), **more):
        """Start the program with a home of its own, `inside` another one that runs it."""
        homes = ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_DOCUMENTS_DIR", "HOME")
        for name in homes:
            (home / name).mkdir(mode=0o700, parents=True, exist_ok=True)
        own = {name: str(home / name) for name in homes}
        return InsideProgram(self.display, arguments, inside, **self._environment, **own, **more)


@contextlib.contextmanager
def house(folder):
    """Open the house and close it in any case."""
    library = leaping.built(folder)
    with readers.reader(folder, SIZE) as (display, bus), sound.sound_server(folder, SPEAKER) as server:
        opened = House(folder, display, bus, library, server)
        try:
            yield opened
        finally:
            opened.eyes.close()
