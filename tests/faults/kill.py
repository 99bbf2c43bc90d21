"""The real window killed at random moments under load: `python -m tests.faults.kill --times 200`.

Peers make calls through the call socket, some by `studiotimer call` itself, until the window is killed without
warning. Then the file is checked and opened again by the next window: every call that was said to be on disk must be
there once, under the number it was given, in order, and the file whole once a torn last line is mended.
"""

import argparse
import random
import signal
import subprocess
import tempfile
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from unittest import mock

from studiotimer.errors import NoWindowError
from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session, open_session
from studiotimer.session.peer import send_call
from studiotimer.session.reading import read
from studiotimer.session.verifying import verify
from tests.screens import HOMES, program, screen
from tests.window.conftest import PLAN

PEERS = 6
LONGEST_LIFE_S = 0.6
FROM_A_PROCESS = 0.1
"""The share of lives in which one more call is made by a process of its own."""
LEAST_CALLS = 4
"""So many calls a life are said to be on disk before the window is killed, however busy the machine is."""


@dataclass
class Acknowledged:
    """What the window said to be on disk: entry number to the words of the note."""

    notes: dict[int, str] = field(default_factory=dict)
    made: int = 0
    lock: threading.Lock = field(default_factory=threading.Lock)

    def call(self, words):
        """Make a call and return whether it was said to be on disk."""
        try:
            answer = send_call("note", {"text": words}, patience_s=10.0)
        except NoWindowError:
            return False
        with self.lock:
            assert answer["n"] not in self.notes, f"two calls were given the number {answer['n']}"
            self.notes[answer["n"]] = words
        return True

    def wait_for(self, count):
        """Wait until so many calls were said to be on disk."""
        end = time.monotonic() + 90
        while len(self.notes) < count:
            assert time.monotonic() < end, f"{len(self.notes)} calls of {count} were said to be on disk"
            time.sleep(0.005)


@dataclass
class Found:
    """What was found in the file after each kill."""

    states: Counter = field(default_factory=Counter)
    opened_s: list = field(default_factory=list)
    acknowledged: int = 0
    made: int = 0
    logged: int = 0

    def words(self):
        return (
            f"{sum(self.states.values())} kills: {dict(self.states)} before mending, all whole after; {self.made} calls "
            f"made, {self.acknowledged} said to be on disk, all there once and in order; {self.logged} entries; "
            f"a window took calls {sum(self.opened_s) / len(self.opened_s):.1f} s after its start"
        )


def kill_often(path, times, chance, tell=lambda words: None):
    """Kill the window on the session at `path` so many times, checking after each; return what was found."""
    said, found = Acknowledged(), Found()
    with screen() as display, tempfile.TemporaryDirectory() as home:
        homes = dict.fromkeys(HOMES, home)
        with mock.patch.dict("os.environ", homes):
            for life in range(times):
                one_life(path, life, said, found, chance, program(display, path, **homes))
                check(path, said, found)
                tell(f"{life + 1:4}  {found.states}  {len(said.notes)} of {said.made} acknowledged")
    open_session(path).close()
    assert verify(path).whole
    found.acknowledged, found.made = len(said.notes), said.made
    return found


def one_life(path, life, said, found, chance, running):
    """Run the window, call it from all sides, and kill it at a random moment."""
    with running as window:
        began = time.monotonic()
        while not said.call(f"life {life} opening"):
            assert window.process.poll() is None, window.last_words()
            assert time.monotonic() - began < 90, "the window took no call in a minute and a half"
            time.sleep(0.02)
        found.opened_s.append(time.monotonic() - began)
        said.made += 1
        stop = threading.Event()
        peers = [threading.Thread(target=keep_calling, args=(said, life, number, stop)) for number in range(PEERS)]
        for peer in peers:
            peer.start()
        process = subprocess.Popen(
            window.command("call", "note", "--text", f"life {life} process", "--json"), env=window.environment,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        ) if chance.random() < FROM_A_PROCESS else None  # fmt: skip
        said.wait_for(LEAST_CALLS * (life + 1))
        time.sleep(chance.uniform(0.5, 2.0) if process else chance.uniform(0.0, LONGEST_LIFE_S))
        window.process.send_signal(signal.SIGKILL)
        window.process.wait(90)
        stop.set()
        for peer in peers:
            peer.join(90)
        if process is not None:
            answer, error = process.communicate(timeout=90)
            assert "Traceback" not in error, error
            said.made += 1
            if process.returncode == 0:
                said.notes[int(answer.split('"n": ')[1].split("}")[0])] = f"life {life} process"


def keep_calling(said, life, peer, stop):
    number = 0
    while not stop.is_set():
        with said.lock:
            said.made += 1
        if not said.call(f"life {life} peer {peer} note {number}"):
            return
        number += 1


def check(path, said, found):
    """Check the file as the kill left it: whole or torn at its end, and everything acknowledged there, once."""
    held = read(path)
    assert held.condition in ("whole", "torn"), held.bad_lines
    assert verify(path).state == held.condition
    found.states[held.condition] += 1
    found.logged = len(held.entries)
    assert [entry.n for entry in held.entries] == list(range(1, len(held.entries) + 1))
    for number, words in said.notes.items():
        assert held.entries[number - 1].text == words
    notes = Counter(entry.text for entry in held.entries if entry.kind == "note")
    assert not [words for words, count in notes.items() if count > 1]


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--times", type=int, default=200, help="how many times the window is killed")
    parser.add_argument("--seed", type=int, default=0)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "kill.setlog"
        new_session(path, parse_plan(PLAN)).close()
        found = kill_often(path, options.times, random.Random(options.seed), lambda words: print(words, flush=True))
    print(found.words())


if __name__ == "__main__":
    main()
