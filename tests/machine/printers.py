"""A print server of its own with a printer that keeps what it prints as files, and what is on those pages.

`python -m tests.machine.printers OUT` prints a sheet and a report of a demo, metric and US, pauses the printer and says
what the program says, and writes each page as a picture. It needs cupsd, lpadmin, lpstat and pdftotext
(apt-get install cups-daemon cups-client poppler-utils); says so and ends where they are missing.
"""

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

SERVER = "/usr/sbin/cupsd"
PARTS = Path("/usr/lib/cups")
PROGRAMS = ("lpadmin", "lpstat", "cupsdisable", "cupsenable", "cupsreject", "cupsaccept", "pdftotext", "pdftoppm")
NEEDS = "needs cupsd, its client programs and pdftotext: apt-get install cups-daemon cups-client poppler-utils"
NAME = "Studio"
SCRIPT = """#!/bin/sh
[ $# -eq 0 ] && {{ echo 'direct kept "Unknown" "kept"'; exit 0; }}
cat ${{6:+"$6"}} > "{out}/$1.part" && mv "{out}/$1.part" "{out}/$1.pdf"
"""
FILES = """ServerRoot {folder}/etc
ServerBin {folder}/bin
RequestRoot {folder}/spool
TempDir {folder}/spool/tmp
CacheDir {folder}/cache
StateDir {folder}/run
AccessLog {folder}/log/access
ErrorLog {folder}/log/error
PageLog {folder}/log/page
SystemGroup {group}
"""
SETTINGS = """Listen {folder}/cups.sock
LogLevel warn
Browsing No
WebInterface No
<Location />
  Order allow,deny
  Allow all
</Location>
<Policy default>
  <Limit All>
    Order deny,allow
    Allow all
  </Limit>
</Policy>
"""


def missing():
    """Whether the programs for it are not here, or this user may not run the server."""
    there = Path(SERVER).exists() and all(map(shutil.which, PROGRAMS))
    return sys.platform != "linux" or not there or os.geteuid() != 0


needs_print_server = pytest.mark.skipif(missing(), reason=f"{NEEDS}, and root to start the server")


class PrintServer:
    """A server in a process of its own, found through `environment`; what is printed comes into `out`."""

    def __init__(self, folder):
        self.folder, self.out = folder, folder / "out"
        folder.chmod(0o755)
        for name in ("etc", "spool/tmp", "cache", "run", "log", "bin/backend", "out"):
            (folder / name).mkdir(parents=True)
        self.out.chmod(0o777)
        for part in ("cgi-bin", "daemon", "driver", "filter", "monitor", "notifier"):
            if (PARTS / part).exists():
                (folder / "bin" / part).symlink_to(PARTS / part)
        backend = folder / "bin/backend/kept"
        backend.write_text(SCRIPT.format(out=self.out))
        backend.chmod(0o755)
        (folder / "cups-files.conf").write_text(FILES.format(folder=folder, group="root"))
        (folder / "cupsd.conf").write_text(SETTINGS.format(folder=folder))
        self.environment = {**os.environ, "CUPS_SERVER": str(folder / "cups.sock"), "LC_ALL": "C"}
        self.process = None

    def start(self):
        """Start the server with its one printer."""
        command = [SERVER, "-f", "-c", str(self.folder / "cupsd.conf"), "-s", str(self.folder / "cups-files.conf")]
        self.process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        end = time.monotonic() + 90
        while self.ask("lpstat", "-r").returncode or "not" in self.ask("lpstat", "-r").stdout:
            assert time.monotonic() < end, "the print server does not answer"
            time.sleep(0.05)
        self.do("lpadmin", "-p", NAME, "-E", "-v", "kept:/here", "-m", "raw")
        self.do("lpadmin", "-d", NAME)

    def ask(self, *words):
        """Run one of the client's programs."""
        return subprocess.run(words, env=self.environment, capture_output=True, text=True, timeout=90)

    def do(self, *words):
        """Run one that must do as it is told."""
        done = self.ask(*words)
        assert done.returncode == 0, (words, done.stderr)
        return done.stdout

    def printed(self, count, seconds=90):
        """Wait until so many jobs are printed, and return their files in order."""
        end = time.monotonic() + seconds
        while len(found := sorted(self.out.glob("*.pdf"), key=lambda one: int(one.stem))) < count:
            assert time.monotonic() < end, f"{len(found)} of {count} were printed"
            time.sleep(0.1)
        return found

    @contextlib.contextmanager
    def hanging(self):
        """Let the server take connections and answer none."""
        self.process.send_signal(signal.SIGSTOP)
        try:
            yield
        finally:
            self.process.send_signal(signal.SIGCONT)

    def stop(self):
        """End it."""
        if self.process is not None:
            self.process.terminate()
            try:
                self.process.wait(10)
            except subprocess.TimeoutExpired:
                self.process.kill()
                self.process.wait(10)


@contextlib.contextmanager
def print_server():
    """Start a server and end it in any case; its folder's name is short, for that of a socket must be."""
    with tempfile.TemporaryDirectory() as folder:
        server = PrintServer(Path(folder))
        try:
            server.start()
            yield server
        finally:
            server.stop()


def words_of(pdf):
    """Return the text on the pages of a PDF, in lines as they are seen."""
    done = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True)
    return done.stdout.replace("\u00a0", " ")


def size_of(pdf):
    """Return the size of a PDF's first page in points."""
    done = subprocess.run(["pdfinfo", str(pdf)], capture_output=True, text=True, check=True)
    line = next(each for each in done.stdout.splitlines() if each.startswith("Page size"))
    return tuple(round(float(word)) for word in line.split()[2:5:2])


def papers(units):
    """Return a sheet and a report of the hot demo in these units."""
    from studiotimer.places import demo_sessions
    from studiotimer.prep.loading import load_plan
    from studiotimer.prep.outputs import made_now
    from studiotimer.prep.printed import printed_sheet
    from studiotimer.prep.results import results_of
    from studiotimer.units import show_in, shown_in
    from studiotimer.window.prep.pages import Upright
    from studiotimer.window.prep.sheet import sheet_pages
    from studiotimer.window.wrap.report_drawn import ReportPaper
    from studiotimer.wrap.export import Asked, export

    demo = demo_sessions() / "hot_tungsten"
    before = shown_in()
    show_in(units)
    try:
        results = results_of(load_plan(demo / "plan.json"), units)
        found = export(demo / "hot_tungsten.setlog", Asked(frames=(demo / "frames",), camera_ahead_s=-3.0))
    finally:
        show_in(before)
    letter = units == "US"
    return Upright(sheet_pages(printed_sheet(results, made_now())), "sheet", letter), ReportPaper(found.report, letter)


def main(out):
    """Print both in both units, then on a paused printer, and write the pages as pictures."""
    if missing():
        print(f"skipped: {NEEDS}, and root to start the server")
        return
    from studiotimer.units import show_in
    from studiotimer.window.printing import print_on, printers

    out.mkdir(parents=True, exist_ok=True)
    with print_server() as server:
        os.environ["CUPS_SERVER"] = server.environment["CUPS_SERVER"]
        print(f"printers: {printers()}")
        for count, units in enumerate(("metric", "US")):
            show_in(units)
            for number, paper in enumerate(papers(units), 1):
                print(f"{units} {paper.noun}: {print_on(NAME, paper)}")
                file = server.printed(2 * count + number)[-1]
                print(f"  {size_of(file)} points, {len(words_of(file).split())} words")
                picture = ["pdftoppm", "-r", "80", "-png", str(file), str(out / f"{units}-{paper.noun}")]
                subprocess.run(picture, check=True)
        sheet, _ = papers("metric")
        server.do("cupsdisable", "-r", "out of paper", NAME)
        print(f"paused: {printers()[0].trouble}\n        {print_on(NAME, sheet)}")
        server.do("cupsenable", NAME)
        print(f"goes on: {server.printed(5)[-1].name} is printed")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("pictures"))
