"""Power lost at any moment, in a model that keeps only what it must: replayed from the system calls of a real run.

Of a file, what was flushed is there; of a folder, the names it had when it was flushed itself. Everything else is
lost. The calls come from strace, so that nothing depends on what our own code believes it does.
"""

import os
import re
from dataclasses import dataclass, field
from pathlib import PurePosixPath

CALLS = "openat,open,close,mkdir,rename,unlink,write,lseek,ftruncate,fsync,fdatasync"
_LINE = re.compile(r"^(?P<pid>\d+) +(?P<rest>.*)$")
_CALL = re.compile(r"^(?P<name>\w+)\((?P<given>.*)\) += (?P<result>-?\d+)")
_UNFINISHED = re.compile(r"^(?P<head>\w+\(.*) <unfinished \.\.\.>$")
_RESUMED = re.compile(r"^<\.\.\. \w+ resumed>(?P<tail>.*)$")
_STRING = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')


@dataclass
class File:
    data: bytearray = field(default_factory=bytearray)
    kept: bytes = b""


@dataclass
class Folder:
    names: dict = field(default_factory=dict)
    kept: dict = field(default_factory=dict)


@dataclass
class Open:
    node: object
    append: bool = False
    at: int = 0


class Disk:
    """Everything below `root`, as it is and as it would be after the power went."""

    def __init__(self, root):
        self._root = PurePosixPath(root)
        self._top = Folder()
        self._open = {}
        self.output = b""
        self.changed = False
        """Whether the last call may have changed what would be kept, or what was said."""

    def kept(self, path):
        """Return what a file would have after the power went, None when it would not be there."""
        node = self._top
        for part in PurePosixPath(path).relative_to(self._root).parts:
            node = node.kept.get(part) if isinstance(node, Folder) else None
        return node.kept if isinstance(node, File) else None

    def happened(self, name, given, result):
        """Take in one system call that came back."""
        self.changed = name in ("fsync", "fdatasync", "write")
        if result >= 0 and hasattr(self, f"_{name}"):
            getattr(self, f"_{name}")(given, result)

    def _place(self, path):
        """Return the folder a path is in and its name there, None for what lies elsewhere."""
        path = PurePosixPath(path)
        if self._root not in path.parents:
            return None
        node = self._top
        for part in path.relative_to(self._root).parts[:-1]:
            node = node.names[part]
        return node, path.name

    def _openat(self, given, result):
        path, flags = _strings(given)[0].decode(), given
        if path == str(self._root):
            self._open[result] = Open(self._top)
        elif (place := self._place(path)) is not None:
            folder, name = place
            if name not in folder.names:
                assert "O_CREAT" in flags, path
                folder.names[name] = File()
            node = folder.names[name]
            if "O_TRUNC" in flags:
                node.data.clear()
            self._open[result] = Open(node, "O_APPEND" in flags)
        else:
            self._open.pop(result, None)

    _open_ = _openat

    def _close(self, given, result):
        self._open.pop(int(given), None)

    def _mkdir(self, given, result):
        if (place := self._place(_strings(given)[0].decode())) is not None:
            place[0].names[place[1]] = Folder()

    def _rename(self, given, result):
        old, new = (self._place(one.decode()) for one in _strings(given))
        if old is not None and new is not None:
            new[0].names[new[1]] = old[0].names.pop(old[1])

    def _unlink(self, given, result):
        if (place := self._place(_strings(given)[0].decode())) is not None:
            del place[0].names[place[1]]

    def _write(self, given, result):
        handle = int(given.partition(",")[0])
        data = _strings(given)[0][:result]
        if handle == 1:
            self.output += data
        elif (held := self._open.get(handle)) is not None:
            at = len(held.node.data) if held.append else held.at
            held.node.data[at : at + result] = data
            held.at = at + result

    def _lseek(self, given, result):
        if (held := self._open.get(int(given.partition(",")[0]))) is not None:
            held.at = result

    def _ftruncate(self, given, result):
        handle, size = (int(one) for one in given.split(","))
        if handle in self._open:
            del self._open[handle].node.data[size:]

    def _fsync(self, given, result):
        if (held := self._open.get(int(given))) is not None:
            node = held.node
            node.kept = bytes(node.data) if isinstance(node, File) else dict(node.names)

    _fdatasync = _fsync


def replay(trace, root):
    """Yield the disk below `root` after each system call in `trace`, the lines of strace -f -xx."""
    disk, waiting = Disk(root), {}
    for line in trace:
        found = _LINE.match(line)
        if found is None:
            continue
        pid, rest = found["pid"], found["rest"]
        if (unfinished := _UNFINISHED.match(rest)) is not None:
            waiting[pid] = unfinished["head"]
            continue
        if (resumed := _RESUMED.match(rest)) is not None:
            rest = waiting.pop(pid, "") + resumed["tail"].strip()
        if (call := _CALL.match(rest)) is not None:
            name = "open_" if call["name"] == "open" else call["name"]
            disk.happened(name, call["given"], int(call["result"]))
            yield disk


def _strings(given):
    return [bytes.fromhex(one.replace("\\x", "")) for one in _STRING.findall(given)]


def command(trace, program):
    """Return the command line that runs `program` and writes its system calls to `trace`."""
    return ["strace", "-f", "-xx", "-s", "1000000", "-e", f"trace={CALLS}", "-o", os.fspath(trace), *program]
