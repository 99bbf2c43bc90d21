"""Python ends while workers are at work: nothing that they tell by is taken apart under them."""

import subprocess
import sys

import pytest

TELLS = """
import time
from studiotimer.window.app import application
from studiotimer.window.aside import Aside

app = application()
asides = [Aside(f"one of eight {number}") for number in range(8)]


def again(aside):
    aside.ask("again", lambda: time.sleep(0.0), lambda _: again(aside))


for aside in asides:
    again(aside)
    aside.ask("tells", lambda aside=aside: [aside._hand(lambda: None) for _ in range(200_000)] and None)
until = time.monotonic() + 0.3
while time.monotonic() < until:
    app.processEvents()
print("over", flush=True)
"""


@pytest.mark.fault("Python ends while eight workers tell what they came to")
@pytest.mark.parametrize("time", range(4))
def test_the_end_is_no_crash(time):
    done = subprocess.run([sys.executable, "-c", TELLS], capture_output=True, text=True, check=False, timeout=120)
    assert (done.returncode, done.stdout, done.stderr) == (0, "over\n", "")
