"""A root with nothing in it: no Python, no Qt, no library but the C library and zlib, or what debootstrap puts there."""

import contextlib
import os
import shutil
import subprocess
from pathlib import Path

OF_C = ("c", "m", "dl", "pthread", "rt", "resolv", "util")
LOADER = "lib64/ld-linux-x86-64.so.2"
USER = "home/mia"
RUN = f"{USER}/run"
BOUND = ("/proc", "/dev", "/tmp/.X11-unix")


def emptied(root):
    """Make a root that holds the C library and zlib alone."""
    libraries = root / "lib/x86_64-linux-gnu"
    libraries.mkdir(parents=True)
    (root / "lib64").mkdir()
    shutil.copyfile(f"/{LOADER}", root / LOADER)
    (root / LOADER).chmod(0o755)
    for name in [*(f"lib{one}.so.*" for one in OF_C), "libz.so.1"]:
        for path in Path("/lib/x86_64-linux-gnu").glob(name):
            shutil.copyfile(path, libraries / path.name)


def bootstrapped(root):
    """Make a root of Debian's smallest set of packages, in which there is no Python."""
    subprocess.run(["debootstrap", "--variant=minbase", "bookworm", str(root)], check=True, stdout=subprocess.DEVNULL)


@contextlib.contextmanager
def bare_root(folder, archive, with_packages=False):
    """Give a root in which the archive is unpacked in the user's own folder; what is bound into it is let go again."""
    root = Path(folder) / "root"
    root.mkdir()
    (bootstrapped if with_packages else emptied)(root)
    (root / RUN / "studiotimer").mkdir(parents=True, mode=0o700)
    (root / RUN).chmod(0o700)
    subprocess.run(["tar", "-xf", str(archive), "-C", str(root / USER)], check=True)
    bound = []
    try:
        for path in BOUND:
            (root / path[1:]).mkdir(parents=True, exist_ok=True)
            subprocess.run(["mount", "--bind", path, str(root / path[1:])], check=True)
            bound.append(root / path[1:])
        yield root
    finally:
        for path in reversed(bound):
            subprocess.run(["umount", "-l", str(path)], check=True)


def inside(root, display, *arguments):
    """Return the command line that runs the bundle in a root, with nothing of this machine's in its environment."""
    clean = {
        "DISPLAY": display, "HOME": f"/{USER}", "PATH": "/usr/bin:/bin", "LANG": "C", "XDG_RUNTIME_DIR": f"/{RUN}",
    }  # fmt: skip
    return [
        "env", "-i", *(f"{name}={value}" for name, value in clean.items()), shutil.which("chroot") or "chroot", str(root),
        f"/{USER}/studiotimer/studiotimer", *map(str, arguments),
    ]  # fmt: skip


def strangers(process):
    """Return the libraries that a process of a root has open from outside the bundle, the C library's aside."""
    mapped = {
        line.split(maxsplit=5)[5]
        for line in Path(f"/proc/{process}/maps").read_text().splitlines()
        if len(line.split()) > 5 and ".so" in line
    }
    return sorted(os.path.basename(path) for path in mapped if f"/{USER}/studiotimer/" not in path)  # noqa: PTH119
