"""Pictures of every camera kind, what is read of them against exiftool: `python -m tests.cameras [--keep FOLDER]`.

The samples lie in packages that their registries' own clients fetch by name (pip, npm, apt-get); what cannot be had is
said, and left out. A folder given with --keep holds them for the next time; other samples put there count too. It needs
exiftool (Debian: libimage-exiftool-perl). Nothing it fetches belongs into this repository.

`same` is a value that exiftool has too, equal; `unknown` one that neither has. Times are those of EXIF alone: no file's
date and no maker's own note stands in for them.
"""

import argparse
import hashlib
import io
import json
import shutil
import subprocess
import sys
import tarfile
import tempfile
import warnings
import zipfile
from collections import Counter, defaultdict
from pathlib import Path, PurePath

from PIL import Image

from studiotimer.wrap.decoding import NoThumbnailError
from studiotimer.wrap.exif import PICTURES, RAWS, NoTimeError, opened, orientation_of, taken_of
from studiotimer.wrap.thumbs import thumbnail

SDISTS = ("pillow-heif", "hachoir", "sigal", "piexif")
NPM = ("exif", "exif-parser")
SOURCES = ("libimage-exiftool-perl", "exiv2")
LEAST = 200
WIDE = (("time", 22), ("sub-second", 22), ("offset", 22), ("orientation", 16), ("thumbnail", 26))


def run(command, **options):
    return subprocess.run(command, capture_output=True, text=True, timeout=600, **options)


def fetched(folder):
    """Fetch every package into `folder`, and yield what could not be had and why."""
    for name in SDISTS:
        yield from _missing(name, _pip(name, folder))
    for name in NPM:
        yield from _missing(name, _npm(name, folder))
    yield from _apt(folder)


def _missing(name, why):
    if why:
        yield f"{name}: {why}"


def _why(words):
    """Return the last line that says an error, else the last of all."""
    lines = [line.strip() for line in words.splitlines() if line.strip()]
    errors = [line for line in lines if "error" in line.lower()]
    return (errors or lines or ["no word why"])[-1]


def _pip(name, folder):
    stem = name.replace("-", "_")
    if any(folder.glob(f"{stem}-*")):
        return ""
    pip = [sys.executable, "-m", "pip"] if run([sys.executable, "-m", "pip", "--version"]).returncode == 0 else ["pip"]
    if shutil.which(pip[0]) is None:
        return "pip is not installed"
    done = run([*pip, "download", "-q", "--no-deps", "--no-binary", name, "-d", str(folder), name])
    return "" if done.returncode == 0 else _why(done.stderr)


def _npm(name, folder):
    if any(folder.glob(f"{name}-[0-9]*.tgz")):
        return ""
    if shutil.which("npm") is None:
        return "npm is not installed"
    done = run(["npm", "pack", "--silent", name], cwd=folder)
    return "" if done.returncode == 0 else _why(done.stderr)


def _apt(folder):
    wanted = [name for name in SOURCES if not any(folder.glob(f"{name}_*.orig.tar.*"))]
    kept = Path("/etc/apt/sources.list.d/debian.sources")
    if not wanted:
        return
    if shutil.which("apt-get") is None or not kept.exists():
        yield f"{', '.join(wanted)}: no apt-get with Debian's sources here"
        return
    own = folder / "apt"
    (own / "lists" / "partial").mkdir(parents=True, exist_ok=True)
    (own / "list.sources").write_text(kept.read_text().replace("Types: deb\n", "Types: deb-src\n"))
    apt = [
        "apt-get", "-o", f"Dir::Etc::sourcelist={own / 'list.sources'}", "-o", "Dir::Etc::sourceparts=/dev/null",
        "-o", f"Dir::State::lists={own / 'lists'}",
    ]  # fmt: skip
    done = run([*apt, "update"])
    for name in wanted:
        done = run([*apt, "source", "--download-only", name], cwd=folder) if done.returncode == 0 else done
        yield from _missing(name, "" if done.returncode == 0 else _why(done.stderr))


def unpacked(folder):
    """Unpack the pictures of every package once."""
    out = folder / "pictures"
    for package in sorted(folder.glob("*.*")):
        to = out / package.name
        if not package.is_file() or to.exists():
            continue
        if tarfile.is_tarfile(package):
            with tarfile.open(package) as held:
                for one in held.getmembers():
                    if one.isfile() and PurePath(one.name).suffix.lower() in PICTURES:
                        held.extract(one, to, filter="data")
        elif zipfile.is_zipfile(package):
            with zipfile.ZipFile(package) as held:
                for name in held.namelist():
                    if PurePath(name).suffix.lower() in PICTURES:
                        held.extract(name, to)


def samples(folder):
    """Return every picture below `folder`, the same one once."""
    found = {}
    for path in sorted(folder.rglob("*")):
        if path.suffix.lower() in PICTURES and path.is_file():
            found.setdefault(hashlib.sha256(path.read_bytes()).digest(), path)
    return list(found.values())


def told_by_exiftool(paths):
    """Return what exiftool says of each picture, by its path."""
    tags = ["-EXIF:DateTimeOriginal", "-EXIF:SubSecTimeOriginal", "-EXIF:OffsetTimeOriginal", "-IFD0:Orientation#"]
    listing = "\n".join(map(str, paths))
    done = run(["exiftool", "-j", "-q", "-q", *tags, "-@", "-"], input=listing)
    return {Path(one["SourceFile"]): one for one in json.loads(done.stdout)}


def has_preview(path):
    """Whether a raw file has a preview that exiftool takes out and that is a whole picture."""
    for tag in ("PreviewImage", "JpgFromRaw", "ThumbnailImage"):
        data = subprocess.run(["exiftool", "-b", f"-{tag}", path], capture_output=True, timeout=60).stdout
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                with Image.open(io.BytesIO(data), formats=("JPEG",)) as picture:
                    picture.load()
            return True
        except Exception:  # whatever it ran into, there is no preview
            continue
    return False


def read_here(path):
    """Return what the program reads: the time, its parts, its offset, the raw's orientation, a thumbnail or why not."""
    try:
        taken = taken_of(path)
        when = f"{taken.local:%Y:%m:%d %H:%M:%S}", f"{taken.local:%f}", taken.offset
    except NoTimeError:
        when = None, None, None
    try:
        small = f"{len(thumbnail(path))} B"
    except NoThumbnailError as error:
        small = str(error)
    orientation = None
    if path.suffix.lower() in RAWS:
        with opened(path) as file:
            orientation = orientation_of(file)
    return *when, orientation, small


def compared(path, theirs):
    """Return one word for each thing read, and what differs in full."""
    time, part, offset, orientation, small = read_here(path)
    other = str(theirs.get("DateTimeOriginal") or "")[:19].replace("0000:00:00 00:00:00", "").strip() or None
    words = {"time": _word(time, other)}
    known = str(theirs.get("SubSecTimeOriginal", "")).strip() if other else ""
    words["sub-second"] = _word(
        part if time and int(part) else None, f"{known:0<6}"[:6] if known.isdigit() and int(known) else None
    )
    span = str(theirs.get("OffsetTimeOriginal", "") or "").strip()
    words["offset"] = _word(offset if time else None, _offset(span) if other else None)
    raw = path.suffix.lower() in RAWS
    if raw:
        words["orientation"] = _word(orientation, theirs.get("Orientation") or None)
    if small.endswith(" B"):
        words["thumbnail"] = "made"
    else:
        words["thumbnail"] = "none in it" if raw and not has_preview(path) else small.split(" (")[0]
    return words, f"{path.name}: here {time} {part} {offset} {orientation}; exiftool {theirs}"


def _offset(span):
    from studiotimer.wrap.camera import read_offset

    return read_offset(span) if span else None


def _word(here, there):
    if here is None and there is None:
        return "unknown"
    if here is None or there is None:
        return "only exiftool" if here is None else "only here"
    return "same" if here == there else "DIFFERS"


def table(paths):
    """Print the table, and what differs below it; return how many times differ."""
    theirs = told_by_exiftool(paths)
    counts, differ = defaultdict(Counter), []
    for path in paths:
        words, full = compared(path, theirs.get(path, {}))
        kind = path.suffix.lower()
        counts[kind]["files"] += 1
        for thing, word in words.items():
            counts[kind][thing, word] += 1
        if {"DIFFERS", "only exiftool", "only here"} & {words["time"], words["sub-second"], words["offset"]}:
            differ.append(full)
    print("format   files  " + "".join(f"{thing:{width}}" for thing, width in WIDE))
    for kind, count in sorted(counts.items()):
        cells = []
        for thing, width in WIDE:
            each = {key[1]: n for key, n in count.items() if key != "files" and key[0] == thing}
            cells.append(f"{', '.join(f'{n} {word}' for word, n in sorted(each.items())):{width}}")
        print(f"{kind[1:]:8} {count['files']:5}  {' '.join(cells)}".rstrip())
    for line in differ:
        print(f"  {line}")
    return sum(count["time", "DIFFERS"] for count in counts.values())


def main(options):
    """Fetch, unpack, compare, print; 77 where it cannot be done here."""
    if shutil.which("exiftool") is None:
        print("skipped: exiftool is not installed (Debian: libimage-exiftool-perl)")
        return 77
    folder = options.keep or Path(tempfile.mkdtemp(prefix="cameras-"))
    folder.mkdir(parents=True, exist_ok=True)
    try:
        for words in fetched(folder):
            print(f"skipped: {words}")
        unpacked(folder)
        paths = samples(folder)
        print(f"{len(paths)} different pictures{f'; {LEAST} were wanted' if len(paths) < LEAST else ''}")
        return min(table(paths), 1) if paths else 77
    finally:
        if options.keep is None:
            shutil.rmtree(folder)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--keep", metavar="FOLDER", type=Path, help="hold the samples there; others in it count too")
    sys.exit(main(parser.parse_args()))
