"""Printers: which there are, what keeps one from printing, and pages sent to one, or drawn as PDF or pictures.

A print server that hangs holds whoever asks it, every thread of Python with it, and so does a long sheet that is laid
out (both measured): a process of its own asks, prints and draws; it is given up after a while. What it is to print
comes to it as JSON.
"""

from __future__ import annotations

import base64
import datetime as dt
import json
import os
import re
import shutil
import subprocess
import sys
import time
from dataclasses import dataclass
from typing import BinaryIO

from PySide6.QtCore import QBuffer, QByteArray, QIODevice
from PySide6.QtGui import QImage, QImageWriter

from studiotimer.apart import module_line, unseen
from studiotimer.errors import WorkError
from studiotimer.units import Style, show_in, shown_in
from studiotimer.window.paper import Paper, draw_on, ensure_application, paper_pdf, pictures_of

LOOK_S, PRINT_S, SERVER_S, DRAW_S = 15.0, 60.0, 5.0, 60.0
"""How long a look at the printers may take, a print, what the print server is asked beside them, and a PDF."""
LOOKS, BETWEEN_S = 4, 0.4
"""How often a printer is looked at after it was given something, and how long after each other."""
INSTEAD = "save it as PDF instead"
NO_ANSWER = "The printers do not answer; {instead}."
PAUSED = "{name} is paused or stopped{why}: what it is given waits until it goes on, or {instead}."
REFUSES = "{name} takes nothing{why}; choose another printer, or {instead}."
GONE = "{name} is not there any more; choose another printer, or {instead}."
NOT_TAKEN = "{name} did not take the {noun}; {instead}."
WAITS = "{name} is paused or stopped{why}: the {noun} waits there until it goes on."
SENT = "Sent to {name}."
QUICK = 80
"""How little a picture that is only handed over is made small: 100 is not at all."""
NOT_DRAWN = "The {noun} could not be drawn; try again."

_REASON = re.compile(r"\n\t(.+)")
_UNKNOWN = ("reason unknown", "Paused", "Rejecting Jobs")


@dataclass(frozen=True)
class Printer:
    """A printer by its name, and a sentence when it does not print now."""

    name: str
    trouble: str = ""


def printers() -> list[Printer]:
    """Return this machine's printers, the usual one first; raises WorkError when they do not answer."""
    return [Printer(*each) for each in _asked(b"", LOOK_S)]


def print_on(name: str, paper: Paper) -> str:
    """Print on the printer of that name; return what is to be said of it, raises WorkError with why it did not."""
    from studiotimer.window.handed import handed

    done, words = _asked(handed(name, paper, shown_in()), PRINT_S)
    if not done:
        raise WorkError(words)
    return str(words)


def pdf_of(paper: Paper, made: dt.datetime) -> bytes:
    """Return a paper as a PDF, of which `made` (aware) is the date; raises WorkError when it cannot be drawn."""
    from studiotimer.window.handed import handed

    return _drawn(paper, handed("", paper, shown_in(), made))


def pages_of(paper: Paper, width_px: int, most: int | None = None) -> list[QImage]:
    """Return a paper's pages as pictures `width_px` wide, no more than `most`; raises WorkError when they cannot be."""
    from studiotimer.window.handed import handed

    told = json.loads(_drawn(paper, handed("", paper, shown_in(), None, width_px, most)))
    return [QImage.fromData(base64.b64decode(one)) for one in told]


def _drawn(paper: Paper, wanted: bytes) -> bytes:
    try:
        return _done(wanted, DRAW_S)
    except (OSError, subprocess.SubprocessError):
        raise WorkError(NOT_DRAWN.format(noun=paper.noun)) from None


def _png(picture: QImage) -> str:
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QImageWriter(buffer, b"png")
    writer.setQuality(QUICK)
    writer.write(picture)
    return base64.b64encode(data.data()).decode()


def _asked(wanted: bytes, patience_s: float) -> list[list[str]]:
    try:
        found: list[list[str]] = json.loads(_done(wanted, patience_s))
        return found
    except (OSError, ValueError, subprocess.SubprocessError):
        raise WorkError(NO_ANSWER.format(instead=INSTEAD)) from None


def _done(wanted: bytes, patience_s: float) -> bytes:
    done = subprocess.run(
        module_line("studiotimer.window.printing"), input=wanted, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        timeout=patience_s, check=True, creationflags=unseen(),
    )  # fmt: skip
    return done.stdout


def _listed() -> list[tuple[str, str]]:
    """Return the printers, each with what keeps it from printing."""
    from PySide6.QtPrintSupport import QPrinterInfo

    usual = QPrinterInfo.defaultPrinterName()
    names = sorted(QPrinterInfo.availablePrinterNames(), key=lambda name: name != usual)
    return [(name, _state(name)[1]) for name in names]


def _state(name: str) -> tuple[bool, str, str]:
    """Return whether a printer takes anything, a sentence when it does not print now, and why as it says itself."""
    from PySide6.QtPrintSupport import QPrinter, QPrinterInfo

    info = QPrinterInfo.printerInfo(name)
    if info.isNull():
        return False, GONE.format(name=name, instead=INSTEAD), ""
    refuses, why = _refuses(name)
    if refuses:
        return False, REFUSES.format(name=name, why=why, instead=INSTEAD), why
    if info.state() == QPrinter.PrinterState.Error:
        why = _why(_server("-p", name))
        return True, PAUSED.format(name=name, why=why, instead=INSTEAD), why
    return True, "", ""


def _refuses(name: str) -> tuple[bool, str]:
    """Return whether the print server takes nothing for a printer, which Qt does not tell, and why."""
    said = _server("-a", name)
    return " not accepting " in said, _why(said)


def _server(option: str, name: str) -> str:
    """Return what the print server says of a printer; empty where there is no program to ask it with."""
    program = shutil.which("lpstat")
    if program is None:
        return ""
    try:
        done = subprocess.run(
            [program, option, name], env={**os.environ, "LC_ALL": "C"}, capture_output=True, timeout=SERVER_S,
            check=False,
        )  # fmt: skip
    except (OSError, subprocess.TimeoutExpired):
        return ""
    return done.stdout.decode("utf-8", "replace")


def _why(said: str) -> str:
    found = _REASON.search(said)
    return "" if found is None or found[1].strip() in _UNKNOWN else f" ({found[1].strip()[:80]})"


def _printed(name: str, paper: Paper, style: Style) -> tuple[bool, str]:
    """Print, and return whether the printer took it and what is to be said."""
    from PySide6.QtPrintSupport import QPrinter, QPrinterInfo

    show_in(style)
    takes, trouble, why = _state(name)
    if not takes:
        return False, trouble
    printer = QPrinter(QPrinterInfo.printerInfo(name), QPrinter.PrinterMode.HighResolution)
    printer.setPageLayout(paper.layout())
    printer.setDocName(f"{paper.title}, {paper.noun}")
    if not draw_on(printer, printer.resolution(), paper):
        return False, NOT_TAKEN.format(name=name, noun=paper.noun, instead=INSTEAD)
    for look in range(LOOKS):
        if trouble:
            return True, WAITS.format(name=name, noun=paper.noun, why=why)
        if look:
            time.sleep(BETWEEN_S)
        _, trouble, why = _state(name)
    return True, SENT.format(name=name)


def main(source: BinaryIO, out: BinaryIO) -> int:
    """List the printers, or print or draw what comes in; return the exit status."""
    from studiotimer.window.handed import taken

    ensure_application()
    wanted = source.read()
    one = taken(wanted) if wanted else None
    if one is not None and not one.printer:
        show_in(one.style)
        drawn = [_png(each) for each in pictures_of(one.paper, one.width_px, one.most)] if one.width_px else None
        out.write(paper_pdf(one.paper, one.made) if drawn is None else json.dumps(drawn).encode())
        return 0
    told = _listed() if one is None else _printed(one.printer, one.paper, one.style)
    out.write(json.dumps(told).encode())
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.stdin.buffer, sys.stdout.buffer))
