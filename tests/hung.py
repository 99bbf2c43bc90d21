"""A folder that hangs for real: a file system of which nobody answers, as a share whose server is gone."""

import ctypes
import os
import select
import struct
import subprocess
import threading

import pytest

IS_THERE, VERSION = 26, (7, 31)
_HEAD = struct.Struct("<IIQ")


class HungFolder:
    """Mounted at `folder`: whatever is asked of it is not answered until `let_go`, which refuses it all."""

    def __init__(self, folder):
        self.folder = folder
        self._device = os.open("/dev/fuse", os.O_RDWR)
        options = f"fd={self._device},rootmode=40000,user_id=0,group_id=0,allow_other"
        libc = ctypes.CDLL(None, use_errno=True)
        if libc.mount(b"hung", os.fsencode(folder), b"fuse", 0, options.encode()):
            os.close(self._device)
            raise OSError(ctypes.get_errno(), "cannot be mounted")
        self.asked, self._over = threading.Event(), threading.Event()
        self._ears = threading.Thread(target=self._hear, daemon=True)
        self._ears.start()

    def _hear(self):
        """Answer that the file system is there; what is asked then is not even taken, so that who asks can be ended."""
        there = False
        while not self._over.wait(0.02):
            if not select.select([self._device], [], [], 0.0)[0]:
                continue
            if there:
                self.asked.set()
                continue
            _, deed, number = _HEAD.unpack_from(os.read(self._device, 1 << 17))
            assert deed == IS_THERE
            body = struct.pack("<IIIIHHI", *VERSION, 0, 0, 1, 1, 65536).ljust(64, b"\0")
            os.write(self._device, struct.pack("<IiQ", 16 + len(body), 0, number) + body)
            there = True
        os.close(self._device)

    def let_go(self):
        """Have everything that was asked refused, and the folder be an empty one again."""
        if not self._over.is_set():
            subprocess.run(["umount", "-l", str(self.folder)], check=False)
            self._over.set()
            self._ears.join(10)


@pytest.fixture
def hung_folder(tmp_path):
    """A folder that hangs for real; its `let_go` ends that."""
    folder = tmp_path / "hung"
    folder.mkdir()
    try:
        hung = HungFolder(folder)
    except OSError as error:
        pytest.skip(f"needs FUSE and root: {error.strerror}")
    yield hung
    hung.let_go()
