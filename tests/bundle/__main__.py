"""Tries a bundle in a bare root, with real keys: `python -m tests.bundle ARCHIVE [--packages] [--out FOLDER]`.

It says its version, works out a life, opens a demo, takes keys, writes a session, makes the PDFs of a plan and a report,
serves a phone's page, and ends; then its opening is compared with the environment's, on the same screen in turn. It ends
over what fails, not over times. Needs root (chroot), Xvfb, xdotool; with `--packages` debootstrap, else nothing.
"""

import argparse
import contextlib
import json
import os
import re
import shutil
import socket
import ssl
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

from studiotimer.places import demo_sessions
from studiotimer.prep.loading import load_plan
from studiotimer.session.live import new_session
from studiotimer.session.reading import read
from studiotimer.session.verifying import verify
from tests.bundle.bare import RUN, USER, bare_root, inside, strangers
from tests.screens import Program, screen

DEMO = demo_sessions() / "calm_led"
RUNS = 5
WANTED = 1.3
LIFE = ("life", "--mix", "premium", "--from", "-16C", "--room", "22C", "--humidity", "45", "--light", "LED 2000 lx")


class Bundled(Program):
    """The program of a bundle in a root, on a virtual screen."""

    def __init__(self, root, display, arguments):
        self.root = root
        super().__init__(display, arguments)

    def command(self, *arguments):
        return inside(self.root, self.environment["DISPLAY"], *arguments)


def out_of(root, display, *arguments):
    """Run a command in the root, and return what it says."""
    done = subprocess.run(inside(root, display, *arguments), capture_output=True, text=True, check=False, timeout=120)
    assert done.returncode == 0, (arguments, done.stderr)
    return done.stdout


def commands(root, display):
    """Try the command line: numbers, and papers made by a process of its own."""
    home = root / USER
    assert re.fullmatch(r"studiotimer \d+\.\d+\.\d+\n", said := out_of(root, display, "--version")), said
    ours = subprocess.run([sys.executable, "-m", "studiotimer", *LIFE], capture_output=True, text=True, check=True)
    assert out_of(root, display, *LIFE) == ours.stdout
    out_of(root, display, "prep", f"/{USER}/plan.json", "--out", f"/{USER}/sheets")
    out_of(root, display, "wrap", f"/{USER}/demo.setlog", "--frames", f"/{USER}/frames", "--out", f"/{USER}/report")
    papers = sorted(path.name for folder in ("sheets", "report") for path in (home / folder).rglob("*.pdf"))
    assert papers, "no PDF was made"
    for path in home.rglob("*.pdf"):
        assert path.read_bytes().startswith(b"%PDF-")
    print("commands agree; PDFs made:", ", ".join(papers))


def shoot(root, display, out):
    """Open a session, make calls with real keys, and close it; the file is whole and has them."""
    path = root / USER / "shoot.setlog"
    new_session(path, load_plan(DEMO / "plan.json")).close()
    before = len(read(path).entries)
    running = Bundled(root, display, ("window", f"/{USER}/shoot.setlog"))
    try:
        running.window(120)
        until(lambda: len(read(path).entries) > before)
        time.sleep(2.0)
        for key, kind in (("k", "shot"), ("p", "pull"), ("p", "pull"), ("1", "lock"), ("2", "lock"), ("3", "lock")):
            known = len(read(path).entries)
            time.sleep(1.0)
            running.press(key)
            until(lambda known=known: len(read(path).entries) > known)
            assert read(path).entries[-1].kind == kind, read(path).entries[-1]
        time.sleep(2.0)
        picture(display, out, "bare-root.png")
        print("libraries from outside the bundle:", ", ".join(strangers(running.process.pid)) or "none")
        status = running.end()
    finally:
        running.end()
    assert status == 0, status
    assert verify(path).state == "whole"
    assert [entry.kind for entry in read(path).entries[before:]][-1] == "closed"
    print("keys taken, session whole, ended with 0")


def phone(root, display):
    """Begin the phones' server as the window does, answer it as the window would, and fetch its page over TLS."""
    command = inside(root, display, "--part", "studiotimer.phones")
    opened = {"do": "open", "key": "k", "address": "127.0.0.1", "port": 0, "folder": f"/{USER}"}
    with socket.socket(socket.AF_UNIX) as window, subprocess.Popen(command, stdin=subprocess.PIPE) as server:
        try:
            window.bind(str(root / RUN / "studiotimer/calls.sock"))
            window.listen()
            window.settimeout(60)
            server.stdin.write(json.dumps(opened).encode() + b"\n")
            server.stdin.flush()
            line, _ = window.accept()
            with line:
                told = json.loads(line.makefile("rb").readline())
                line.sendall(b"{}\n")
            address = f"127.0.0.1:{told['port']}"
            unknown = ssl.create_default_context()
            unknown.check_hostname, unknown.verify_mode = False, ssl.CERT_NONE
            with urllib.request.urlopen(f"https://{address}/", context=unknown, timeout=60) as page:
                assert page.status == 200
                assert b"<html" in page.read()
        finally:
            server.kill()
    print("the phones' page is served over TLS")


def until(true, seconds=60):
    """Wait until something is so."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it never came"
        time.sleep(0.05)


def picture(display, out, name):
    """Keep a picture of the screen where pictures are wanted and can be made."""
    if out is not None and shutil.which("import"):
        subprocess.run(
            ["import", "-window", "root", str(out / name)], env={**os.environ, "DISPLAY": display}, check=True
        )


def opening(root, display):
    """Return how long the bundle and the environment take from start to a window, medians of runs in turn."""
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # on a crew's machine the program is compiled once
    took = {"bundle": [], "environment": []}
    for run in range(-1, RUNS):
        for name, seconds in took.items():
            began = time.monotonic()
            demo = f"/{USER}/demo.setlog" if name == "bundle" else str(DEMO / "calm_led.setlog")
            running = (
                Bundled(root, display, ("rehearse", demo)) if name == "bundle" else Program(display, ("rehearse", demo))
            )
            try:
                running.window(120)
                if run >= 0:
                    seconds.append(time.monotonic() - began)
            finally:
                running.end()
    return tuple(statistics.median(seconds) for seconds in took.values())


def main():
    parser = argparse.ArgumentParser(prog="python -m tests.bundle")
    parser.add_argument("archive", type=Path)
    parser.add_argument("--packages", action="store_true", help="a root made by debootstrap, not an empty one")
    parser.add_argument("--out", type=Path, help="where the picture goes")
    options = parser.parse_args()
    if os.geteuid() != 0:
        sys.exit("only root may make a root of its own")
    print(f"{options.archive.name}: {options.archive.stat().st_size / 2**20:.1f} MiB")
    with contextlib.ExitStack() as stack:
        folder = stack.enter_context(tempfile.TemporaryDirectory())
        display = stack.enter_context(screen("1280x800x24", "-noreset"))
        root = stack.enter_context(bare_root(folder, options.archive, options.packages))
        shutil.copyfile(DEMO / "calm_led.setlog", root / USER / "demo.setlog")
        shutil.copyfile(DEMO / "plan.json", root / USER / "plan.json")
        shutil.copytree(DEMO / "frames", root / USER / "frames")
        commands(root, display)
        shoot(root, display, options.out)
        phone(root, display)
        bundle, environment = opening(root, display)
    ratio = bundle / environment
    print(f"opens in {bundle:.2f} s, the environment in {environment:.2f} s: {ratio:.2f} times (wanted: {WANTED})")
    return 0


if __name__ == "__main__":
    sys.exit(main())
