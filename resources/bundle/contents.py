"""What is in a bundle, whose it is and under which licence: `python contents.py FOLDER` in the bundle's environment.

Every file has an owner: a distribution of the environment, a package of the system, Python, or the bundle's maker. A
library whose licence nobody has looked up, or one that is GPL and nothing else, ends it with a sentence and status 1.
"""

from __future__ import annotations

import fnmatch
import re
import shutil
import subprocess
import sys
import sysconfig
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from importlib.metadata import Distribution, distributions
from pathlib import Path

HERE = Path(__file__).parent
LIST, TEXTS = "CONTENTS.txt", "licences"

GPL_ONLY = (
    "*VirtualKeyboard*", "*virtualkeyboard*", "*Qt*Charts*", "*Qt*DataVisualization*", "*Qt*Graphs*", "*Qt*HttpServer*",
    "*Qt*NetworkAuth*", "*Qt*Lottie*", "*Qt*Quick3D*", "*Qt*QuickTimeline*", "*Qt*ShaderTools*", "*Qt*Coap*",
    "*Qt*Mqtt*", "*Qt*Grpc*", "*Qt*Protobuf*", "*Qt*StateMachineQml*", "*libreadline*", "*readline.*so", "*libgdbm*",
    "*_gdbm*", "*x265*", "*x264*", "*postproc*", "*libde265*enc*",
)  # fmt: skip
"""Files that are GPL without another choice: parts of Qt by its own list of modules (memory), and the usual others."""

OF_SYSTEM = {
    "libEGL": "MIT", "libGL": "MIT", "libGLX": "MIT", "libGLdispatch": "MIT", "libOpenGL": "MIT", "libX11": "MIT",
    "libX11-xcb": "MIT", "libXau": "MIT", "libXdmcp": "MIT", "libXext": "MIT", "libxcb*": "MIT", "libxkbcommon*": "MIT",
    "libwayland*": "MIT", "libexpat": "MIT", "libffi": "MIT", "libfontconfig": "MIT", "libgssapi_krb5": "MIT",
    "libk5crypto": "MIT", "libkrb5": "MIT", "libkrb5support": "MIT", "libcom_err": "MIT", "libncursesw": "MIT",
    "libtinfo": "MIT", "libbrotli*": "MIT", "libfreetype": "FTL OR GPL-2.0", "libharfbuzz": "MIT",
    "libbsd": "BSD-3-Clause", "libmd": "BSD-3-Clause", "libuuid": "BSD-3-Clause", "libpcre2-8": "BSD-3-Clause",
    "libFLAC": "BSD-3-Clause", "libogg": "BSD-3-Clause", "libopus": "BSD-3-Clause", "libvorbis*": "BSD-3-Clause",
    "liblz4": "BSD-2-Clause", "libbz2": "bzip2-1.0.6", "libz": "Zlib", "libpng16": "libpng-2.0", "libjpeg": "IJG",
    "libzstd": "BSD-3-Clause OR GPL-2.0", "liblzma": "0BSD", "libcrypto": "Apache-2.0", "libssl": "Apache-2.0",
    "libcups": "Apache-2.0 WITH GPL-2.0-exception", "libdbus-1": "AFL-2.1 OR GPL-2.0-or-later",
    "libglib-2.0": "LGPL-2.1-or-later", "libgthread-2.0": "LGPL-2.1-or-later", "libpulse*": "LGPL-2.1-or-later",
    "libsndfile": "LGPL-2.1-or-later", "libasyncns": "LGPL-2.1-or-later", "libmp3lame": "LGPL-2.0-or-later",
    "libmpg123": "LGPL-2.1", "libsystemd": "LGPL-2.1-or-later", "libgcrypt": "LGPL-2.1-or-later",
    "libgpg-error": "LGPL-2.1-or-later", "libcap": "BSD-3-Clause OR GPL-2.0", "libkeyutils": "LGPL-2.0-or-later",
    "libgnutls": "LGPL-2.1-or-later", "libtasn1": "LGPL-2.1-or-later", "libp11-kit": "BSD-3-Clause",
    "libnettle": "LGPL-3.0-or-later OR GPL-2.0-or-later", "libhogweed": "LGPL-3.0-or-later OR GPL-2.0-or-later",
    "libgmp": "LGPL-3.0-or-later OR GPL-2.0-or-later", "libidn2": "LGPL-3.0-or-later OR GPL-2.0-or-later",
    "libunistring": "LGPL-3.0-or-later OR GPL-2.0-or-later", "libavahi*": "LGPL-2.1-or-later",
    "libstdc++": "GPL-3.0 WITH GCC-exception-3.1", "libgcc_s": "GPL-3.0 WITH GCC-exception-3.1",
    "libselinux": "public domain", "libmount": "LGPL-2.1-or-later", "libblkid": "LGPL-2.1-or-later",
    "libsqlite3": "public domain", "libpython3*": "PSF-2.0", "libapparmor": "LGPL-2.1",
    "libatomic": "GPL-3.0 WITH GCC-exception-3.1",
}  # fmt: skip
"""The licence of each library of the system by its name, the library itself and not what is beside it in its source.

Its package's copyright file says it, and is packed as its text."""

OF_WHEEL = {
    "ExifRead": "BSD-3-Clause", "Jinja2": "BSD-3-Clause", "setuptools": "MIT",
    "pi_heif": "BSD-3-Clause; in it libheif and libde265: LGPL-3.0-or-later",
    "numpy": "BSD-3-Clause and others; in it OpenBLAS (BSD-3-Clause), libgfortran (GCC-exception-3.1)",
    "pyinstaller": "GPL-2.0-or-later WITH Bootloader-exception",
    "pyinstaller-hooks-contrib": "Apache-2.0 (what runs; what only builds is not in it)",
}  # fmt: skip
"""Where a distribution does not say it, or not all of it, in one expression."""
_ICU = re.compile(r"libicu\w+\.so.*|icu\w+\.dll")
_LICENCE_FILE = re.compile(r"(licen[cs]e|copying|notice|authors)", re.IGNORECASE)


@dataclass
class Owner:
    """Whose some of the files are."""

    name: str
    licence: str
    texts: list[Path] = field(default_factory=list)
    files: list[Path] = field(default_factory=list)


class UnknownError(Exception):
    """Something may not be packed; the message says what and why."""


def owners(folder: Path) -> list[Owner]:
    """Return whose the files in a bundle are; raises UnknownError for one that may not be in it."""
    of_wheels, found = _of_wheels(), {}
    for file in sorted(folder.rglob("*")):
        if file.is_symlink() or not file.is_file() or TEXTS in file.relative_to(folder).parts[:1]:
            continue
        place = file.relative_to(folder).as_posix()
        if any(fnmatch.fnmatchcase(place, pattern) for pattern in GPL_ONLY):
            raise UnknownError(f"{place} is GPL and nothing else: leave it out (NOT_OURS and QT_LEFT_OUT in recipe.py)")
        owner = _owner(place.removeprefix("_internal/"), of_wheels)
        found.setdefault(owner.name, owner).files.append(file)
    return sorted(found.values(), key=lambda owner: owner.name.lower())


def _owner(place: str, of_wheels: dict[str, Owner]) -> Owner:
    name = place.rsplit("/", 1)[-1]
    if _ICU.fullmatch(name):
        return Owner("ICU (in PySide6)", "Unicode-3.0")
    if place in of_wheels:
        return of_wheels[place]
    if re.match(r"(python3[\d.]*/|base_library\.zip|lib-dynload/|libpython3|python3\d*\.dll|Python$)", place):
        texts = [Path(sysconfig.get_path("stdlib")) / "LICENSE.txt"]
        return Owner(f"Python {sys.version.split()[0]}", "PSF-2.0", texts)
    if "/" not in place and not _shared(name):
        return of_wheels["pyinstaller"]
    if _shared(name):
        return _of_system(name)
    head = place.split("/")[0]
    by_folder = next((owner for file, owner in of_wheels.items() if file.split("/")[0] == head), None)
    if by_folder is None:
        raise UnknownError(f"{place}: nobody knows where this file comes from")
    return by_folder


def _shared(name: str) -> bool:
    return ".so" in name or name.endswith((".dll", ".dylib", ".pyd"))


def _of_system(name: str) -> Owner:
    stem = re.split(r"\.(?:so|dll|dylib)", name)[0]
    stem = re.sub(r"-\d+\.\d+$", "", stem) if stem.startswith("libpulse") else stem
    for pattern, licence in OF_SYSTEM.items():
        if fnmatch.fnmatchcase(stem, pattern):
            package, texts = _package(name)
            return Owner(package, licence, texts)
    if name.startswith(("vcruntime", "msvcp", "ucrtbase", "api-ms-win")):
        return Owner("Microsoft's C runtime", "redistributable")
    raise UnknownError(f"{name}: look its licence up and add it to OF_SYSTEM in contents.py")


def _package(name: str) -> tuple[str, list[Path]]:
    """Return the system's package that a library is of, and its text, where the system says it."""
    if shutil.which("dpkg-query") is None:
        return f"{name} (of the system)", []
    told = subprocess.run(["dpkg-query", "-S", f"*/{name}"], capture_output=True, text=True, check=False).stdout
    package = told.split(":")[0] if told else name
    text = Path("/usr/share/doc", package, "copyright")
    return f"{package} (of the system)", [text] if text.is_file() else []


def _of_wheels() -> dict[str, Owner]:
    """Return the owner of each file of a distribution, by its path in a bundle."""
    found: dict[str, Owner] = {}
    for one in distributions():
        name = one.metadata["Name"]
        owner = Owner(f"{name} {one.version}", OF_WHEEL.get(name, _said(one)))
        for file in one.files or ():
            found[file.as_posix()] = owner
            if ".dist-info" in file.parts[0] and _LICENCE_FILE.search(file.name):
                owner.texts.append(Path(str(one.locate_file(file))))
        found.setdefault(name.lower(), owner)
    return found


def _said(one: Distribution) -> str:
    about = one.metadata
    licence = about.get("License-Expression") or about.get("License") or ""
    if not licence.strip():
        classed = [each.split(" :: ")[-1] for each in about.get_all("Classifier", []) if each.startswith("License ::")]
        licence = ", ".join(classed)
    return licence.strip().splitlines()[0] if licence.strip() else ""


def lines(found: list[Owner]) -> Iterator[str]:
    """Yield the list for people."""
    yield "What is in this bundle, whose it is, under which licence, and how large."
    yield "The texts are in the folder licences. PySide6 and Qt are used under the LGPL-3.0: their libraries lie in the"
    yield "bundle as files of their own, and others that fit may be put in their place. Qt's source: download.qt.io."
    yield ""
    for owner in found:
        size = sum(file.stat().st_size for file in owner.files) / 1e6
        yield f"{owner.name:44} {size:7.1f} MB  {owner.licence}"


def write(folder: Path) -> list[Owner]:
    """Write the list and the texts into a bundle, and return whose it is; raises UnknownError."""
    found = owners(folder)
    if unsaid := [owner.name for owner in found if not owner.licence]:
        raise UnknownError(f"{', '.join(unsaid)}: say under which licence, in OF_WHEEL in contents.py")
    texts = defaultdict(list)
    for owner in found:
        for text in owner.texts:
            texts[re.sub(r"[^\w.+-]", "_", owner.name.split(" ")[0])].append(text)
    for name, many in texts.items():
        (folder / TEXTS / name).mkdir(parents=True, exist_ok=True)
        for text in {each.name: each for each in many if each.is_file()}.values():
            shutil.copyfile(text, folder / TEXTS / name / text.name)
    shutil.copytree(HERE / "texts", folder / TEXTS / "Qt", dirs_exist_ok=True)
    (folder / LIST).write_text("\n".join(lines(found)) + "\n", encoding="utf-8")
    return found


if __name__ == "__main__":
    try:
        print(*lines(write(Path(sys.argv[1]))), sep="\n")
    except UnknownError as unknown:
        sys.exit(f"contents: {unknown}")
