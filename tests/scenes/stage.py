"""The stage of one scene: the program, its keys, its clock, its session file, what it shows, and pictures of it."""

import re
import time
from contextlib import ExitStack

from PIL import ImageGrab

from studiotimer.session.live import open_read_only
from studiotimer.session.reading import read
from studiotimer.session.verifying import verify
from tests.scenes import battery
from tests.scenes.leaping import Leaps
from tests.scenes.prepared import shoot

PATIENCE_S = 90.0
"""For how long something is waited for; a machine at rest needs a tenth of a second."""
HAND_S = 0.06
"""Between two presses: a key that comes down sooner is taken for one that is held."""
SETTLED_S = 0.25
"""Between a change and its picture: a repaint."""


class Stage:
    """One scene's own: everything is read from outside the program."""

    def __init__(self, house, folder, out=None):
        self.folder, self.out = folder, out
        self.path = folder / "shoot.setlog"
        self._house, self.display = house, house.display
        self._unseen = ()
        self._program, self._screens = None, ExitStack()
        self._clock = Leaps(house.library, folder / "clock")
        self.pictures = []

    def prepare(self, plan, seconds_ago=600.0):
        """Give what makes the calls of the session before the scene."""
        return shoot(self.path, plan, seconds_ago)

    def on(self, monitors):
        """Have the program on a screen of its own, which `monitors` begins and ends."""
        self.display = self._screens.enter_context(monitors).display

    def unplug(self, percent):
        """Pull the charger out, with the battery so many percent full."""
        battery.tell(self.folder, percent, plugged=False)

    def fill_disk(self, free_bytes):
        """Leave so many bytes free on the disks of the program."""
        self._clock.fill(free_bytes)

    def open(self, *arguments, shows="cue: ", percent=None, plugged=False):
        """Start the program on the session, and wait until it shows something that begins so.

        On a machine with a battery, where it is told how many percent full, its charger out or `plugged`.
        """
        inside = battery.on_battery(self.folder, percent, plugged) if percent is not None else ()
        self._start(arguments or (self.path,), inside)
        self._program.window()
        if not arguments:
            self.logged(lambda entries: entries[-1].kind == "opened")
        return self.sees(shows)

    def begin(self):
        """Start the program with nothing open, in a home where nothing was ever kept."""
        self._start(("window",))
        self._program.window()

    def _start(self, arguments, inside=()):
        more = self._clock.environment | {"DISPLAY": self.display}
        self._program = self._house.program(self.folder / "home", arguments, inside, **more)

    def made(self, what, pattern):
        """Wait until the program made a file of that pattern in its home; return it."""
        folder = self.folder / "home"
        return self.until(lambda: next(folder.rglob(pattern), None), lambda: f"no {what} in {list(folder.rglob('*'))}")

    def fill(self, begins, text):
        """Type a text in the field that begins so, in the place of what stands there."""
        self.click(begins)
        self.press("ctrl+a")
        self.write(text)

    def press(self, *keys, apart_s=0.0):
        """Press keys, one after another."""
        self._unseen = keys
        self._program.press(*keys, wait=max(apart_s, HAND_S))

    def twice(self, key):
        """Press a key two times as a switch that bounces does, however busy the machine is."""
        self._unseen = (key,)
        self._program.do("key", "--delay", round(1000 * HAND_S), key, key)

    def click(self, begins):
        """Click the middle of what shows and begins so, once it stands still."""
        self._program.do("mousemove", *self.until(lambda: self._still(begins), self.shown), "click", 1)

    def _still(self, begins):
        """Return the middle of what shows and begins so; None while it moves."""
        first = self._house.eyes.see(self._program.process.pid, begins)
        time.sleep(SETTLED_S)
        again = self._house.eyes.see(self._program.process.pid, begins) if first else []
        return again[0][3] if again and again[0][3] == first[0][3] else None

    def reach(self, begins, over, low=100, high=760):
        """Turn the wheel over what begins so until something else that does is in sight."""
        pid = self._program.process.pid
        self._program.do("mousemove", *self.until(lambda: self._house.eyes.see(pid, over), self.shown)[0][3])

        def there():
            seen = self._house.eyes.see(pid, begins)
            if seen and low < seen[0][3][1] < high:
                still = self._still(begins)
                return still is not None and low < still[1] < high
            self._program.do("click", 4 if seen and seen[0][3][1] <= low else 5)
            return False

        self.until(there, self.shown)

    def write(self, text):
        """Type a text."""
        self._program.do("type", "--delay", round(1000 * HAND_S), text)

    def call(self, *arguments):
        """Run `studiotimer call` and return the finished process."""
        return self._program.call(*arguments)

    def run(self, *arguments):
        """Run `studiotimer` beside the window and return the finished process."""
        return self._program.run(*arguments)

    def leap(self, seconds):
        """Let so many seconds pass at once.

        What was pressed before must have been seen to do something: what is taken only later, comes later for the log.
        """
        assert not self._unseen, f"nothing was seen of {self._unseen}, which may not have been taken yet"
        self._clock.leap(seconds)

    @property
    def ahead_s(self):
        """How far the program's clock is ahead of the machine's own."""
        return self._clock.ahead_s

    @property
    def sounds(self):
        """The names of the sounds that the program told its player to play, in order."""
        return self._clock.sounds

    @property
    def server(self):
        """The sound server."""
        return self._house.server

    @property
    def entries(self):
        """What the session file has, in order."""
        return read(self.path).entries

    @property
    def kinds(self):
        """The kinds of what the session file has, in order."""
        return [entry.kind for entry in self.entries]

    @property
    def state(self):
        """What the session is by its file."""
        return open_read_only(self.path).state

    def logged(self, test):
        """Wait until the session file has what is asked for; return its entries."""
        return self.until(lambda: (found := self.entries) and test(found) and found, lambda: self.kinds)

    def pressed(self, key, kind):
        """A second later press a key, and return the entry of that kind which it logged."""
        self.leap(1.0)
        before = len(self.entries)
        self.press(key)
        return self.logged(lambda now: len(now) > before and now[-1].kind == kind)[-1]

    def shown(self, begins=""):
        """Return the names of all that shows and begins so."""
        return [name for _, name, _, _ in self._house.eyes.see(self._program.process.pid, begins)]

    def sees(self, begins, test=lambda words: True):
        """Wait until something shows that begins so, and passes; return it without that beginning."""
        found = self.until(
            lambda: next((name for name in self.shown(begins) if test(name.removeprefix(begins))), None),
            lambda: self.shown(),
        )
        return found.removeprefix(begins)

    def beside(self, begins, test):
        """Wait until the description of what begins so passes; return it."""

        def found():
            seen = self._house.eyes.see(self._program.process.pid, begins)
            return next((said for _, _, said, _ in seen if test(said)), None)

        return self.until(found, lambda: self._house.eyes.see(self._program.process.pid, begins))

    def cue(self, test=lambda words: True):
        """Wait until the cue passes; return its words."""
        return self.sees("cue: ", test)

    def no_longer(self, begins):
        """Wait until nothing shows that begins so."""
        self.until(lambda: not self.shown(begins), lambda: self.shown(begins))

    def picture(self, name):
        """Keep a picture of the screen."""
        self.pictures.append(name)
        if self.out is not None:
            time.sleep(SETTLED_S)
            path = self.out / f"{re.sub('[^a-z0-9]+', '-', name.lower()).strip('-')}.png"
            ImageGrab.grab(xdisplay=self.display).save(path)

    def close(self):
        """End the program as a person would; the session must be whole."""
        if self._program is not None:
            program, self._program = self._program, None
            assert program.end() == 0
            if self.path.exists():
                assert verify(self.path).state == "whole"

    def leave(self):
        """End the program in any case."""
        with self._screens:
            if self._program is not None:
                self._program.end()

    def until(self, found, instead):
        """Wait until something is found, and return it; `instead` says what there is when it never comes."""
        end = time.monotonic() + PATIENCE_S
        while True:
            if result := found():
                self._unseen = ()
                return result
            assert self._program is None or self._program.process.poll() is None, self._program.last_words()
            if time.monotonic() > end:
                raise AssertionError(f"never came; there is instead: {instead()}")
            time.sleep(0.05)
