"""Invented shoots and pictures for the tests of wrap."""

from datetime import UTC, datetime, timedelta

from PIL import Image

from studiotimer.session.mending import Ledger
from studiotimer.wrap.recorded import Recorded
from tests.session.shoots import entry, file_bytes, plan

BEGAN = datetime(2026, 6, 14, 10, 0, tzinfo=UTC)
COUPE = {
    "name": "coupe", "look": "crisp", "lamp": "LED", "lux": 2000.0, "flavours": ["vanilla"], "spots": ["centre"],
}  # fmt: skip


def story(*calls, began=BEGAN, run=1, first=1):
    """Return the entries of (tick, kind, fields) calls of a run that began at `began`."""
    return [
        entry(n, kind, tick, run=run, at=began + timedelta(seconds=tick), **fields)
        for n, (tick, kind, fields) in enumerate(calls, first)
    ]


def session(*calls, began=BEGAN, zone=None, **changes):
    return Recorded("test", plan(**changes), Ledger.of(story(*calls, began=began)), (), zone)


def write_session(path, entries, **changes):
    path.write_bytes(file_bytes(entries, plan=plan(**changes).snapshot()))
    return path


def picture(path, taken=None, part=None, offset=None, size=(48, 32)):
    """Write a small JPEG with the EXIF a camera would give it."""
    exif = Image.Exif()
    inner = exif.get_ifd(0x8769)
    if taken is not None:
        inner[0x9003] = taken
    if part is not None:
        inner[0x9291] = part
    if offset is not None:
        inner[0x9011] = offset
    path.parent.mkdir(parents=True, exist_ok=True)
    Image.new("RGB", size, (200, 210, 205)).save(path, exif=exif)
    return path
