"""The local socket that button boxes and scripts make calls through; open to the same user only."""

from __future__ import annotations

import json
import os
import socket
import sys
from collections.abc import Callable, Sequence
from functools import partial

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtNetwork import QLocalServer, QLocalSocket
from shiboken6 import isValid

from studiotimer import hops
from studiotimer.places import runtime_folder
from studiotimer.session.calls.registry import why_not_others
from studiotimer.session.entries import Entry
from studiotimer.session.locking import FileLock, HeldError, take_lock
from studiotimer.session.peer import LONGEST_MESSAGE, is_ours, socket_name
from studiotimer.window.running import Running

SLOW_MS = 5000  # a peer that asks sends in milliseconds
AGAIN_MS = 1000
"""How soon a socket that was lost, or that another window had, is tried again."""
MOST_PEERS = 128
LEAST_PEERS = 8  # what a crew's boxes and phones take, however few descriptors there are
TOO_LONG = "too long"
LOCK = "calls.lock"
ANOTHER = "Another studiotimer window takes the calls from other programs."
TAKEN_OVER = "This window takes the calls from other programs now."


class CallSocket(QObject):
    """Takes one JSON object a line, makes the call, and answers once the entry is on disk or the disk refuses.

    One window has the socket, by a lock that the system lets go when it ends; the next one takes it over.
    """

    said = Signal(str)

    def __init__(self, running: Running, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._running = running
        self._waiting: dict[int, list[QLocalSocket]] = {}
        self._peers: list[QLocalSocket] = []
        """Who has not been answered, oldest first."""
        self._most = _most_peers()
        self.phones: Callable[[dict[str, object], Callable[[dict[str, object]], None]], None] | None = None
        """Who answers the phones' server, the message and what to answer by being given; nobody while they are off."""
        self._lock: FileLock | None = None
        self._again = QTimer(self)
        self._again.setInterval(AGAIN_MS)
        self._again.timeout.connect(self._try_again)
        self._server = QLocalServer(self)
        self._server.setSocketOptions(QLocalServer.SocketOption.UserAccessOption)
        self._server.setMaxPendingConnections(MOST_PEERS)
        self._server.setListenBacklogSize(MOST_PEERS)
        self._server.newConnection.connect(self._connected)
        running.stored.connect(self._stored)
        running.trouble.connect(self._troubled)

    @property
    def listening(self) -> bool:
        """Whether this window has the socket."""
        return self._server.isListening()

    def open(self) -> str | None:
        """Listen; return a sentence when another window has the socket or it cannot be opened, and go on trying."""
        self._again.start()
        try:
            name = socket_name()
            if self._lock is None:
                self._lock = take_lock(runtime_folder() / LOCK)
        except HeldError:
            return ANOTHER
        except OSError as error:
            return f"Calls from other programs cannot be taken: {error.strerror}."
        QLocalServer.removeServer(name)
        if self._server.listen(name):
            return None
        return f"Calls from other programs cannot be taken: {self._server.errorString()}."

    def _try_again(self) -> None:
        """Listen again where listening was lost, as to a system that had no descriptor left, or where none was."""
        if not self._server.isListening():
            had = self._lock is not None
            if self.open() is None and not had:
                self.said.emit(TAKEN_OVER)

    def close(self) -> None:
        """Answer whose call is on disk by now, and stop listening."""
        self._again.stop()
        self._stored(self._running.session.on_disk)
        self._server.close()
        if self._lock is not None:
            self._lock.release()
            self._lock = None
        self.deleteLater()

    def _connected(self) -> None:
        while (peer := self._server.nextPendingConnection()) is not None:
            if not _of_the_same_user(peer):
                peer.abort()
                peer.deleteLater()
                continue
            self._make_room()
            self._peers.append(peer)
            slow = QTimer(peer)
            slow.setSingleShot(True)
            slow.timeout.connect(lambda one=peer: one.abort())
            slow.start(SLOW_MS)
            peer.setReadBufferSize(LONGEST_MESSAGE + 1)
            peer.readyRead.connect(lambda one=peer: self._read(one))
            peer.disconnected.connect(lambda one=peer: self._gone(one))

    def _make_room(self) -> None:
        """Let the peer go that has been silent longest, where there are as many as there may be."""
        waiting = {id(peer) for peers in self._waiting.values() for peer in peers}
        while len(self._peers) >= self._most:
            idle = next((peer for peer in self._peers if id(peer) not in waiting), self._peers[0])
            self._peers.remove(idle)
            idle.abort()

    def _read(self, peer: QLocalSocket) -> None:
        if peer.property(TOO_LONG):
            if b"\n" in peer.readAll().data():
                self._answer(peer, {"refused": f"a call is at most {LONGEST_MESSAGE} bytes"})
            return
        if not peer.canReadLine():
            if peer.bytesAvailable() > LONGEST_MESSAGE:
                peer.setProperty(TOO_LONG, True)
                peer.readAll()
            return
        line = bytes(peer.readLine(LONGEST_MESSAGE + 1).data())
        if b'"phones"' in line and (asked := _of_phones(line)) is not None:
            self._ask_phones(peer, asked)
            return
        message = _message(line)
        if isinstance(message, str):
            self._answer(peer, {"refused": message})
            return
        if (why := why_not_others(message[0])) is not None:
            self._answer(peer, {"refused": why})
            return
        self._call(peer, *message)

    def _call(self, peer: QLocalSocket, kind: str, fields: dict[str, object], assume: bool) -> None:
        outcome = self._running.call(kind, fields, at_once=False, assume=assume, program=True)
        if outcome.assumes is not None:
            self._answer(peer, {"refused": f"{outcome.assumes.words}; add --assume to log it so"})
            return
        if outcome.refused is not None or outcome.entry is None:
            self._answer(peer, {"refused": outcome.refused})
        else:
            self._waiting.setdefault(outcome.entry.n, []).append(peer)
            for timer in peer.findChildren(QTimer):
                timer.stop()
            self._stored(self._running.session.on_disk)
            self._troubled(self._running.session.trouble)

    def _ask_phones(self, peer: QLocalSocket, message: dict[str, object]) -> None:
        if self.phones is None:
            self._answer(peer, {"refused": "phones are off"})
            return
        for timer in peer.findChildren(QTimer):
            timer.stop()
        self.phones(message, lambda answer: self._answer(peer, answer) if peer in self._peers else None)

    def _stored(self, number: int) -> None:
        for waited in [one for one in self._waiting if one <= number]:
            peers, entry = self._waiting.pop(waited), self._running.session.ledger.entry(waited)
            if entry is not None:
                self._running.asked_of(entry, partial(self._taken, waited, peers))

    def _taken(self, number: int, peers: Sequence[QLocalSocket], asked: str) -> None:
        """Say to all who wait that an entry is on disk, and what is asked of it, if anything is."""
        for peer in peers:
            if isValid(peer) and peer.state() == QLocalSocket.LocalSocketState.ConnectedState:
                self._answer(peer, {"n": number, **({"asks": asked} if asked else {})})
                hops.note("calls", "entry %d answered to another program", number)

    def _troubled(self, why: str | None) -> None:
        """Say to all who wait that the disk refuses."""
        if why is None:
            return
        for waited in list(self._waiting):
            for peer in self._waiting.pop(waited):
                self._answer(peer, {"kept": waited, "why": why})
                hops.note("calls", "entry %d answered to another program: kept, not on disk yet", waited)

    def _answer(self, peer: QLocalSocket, answer: dict[str, object]) -> None:
        peer.write(json.dumps(answer).encode() + b"\n")
        peer.flush()
        peer.disconnectFromServer()

    def _gone(self, peer: QLocalSocket) -> None:
        for number, peers in list(self._waiting.items()):
            self._waiting[number] = [one for one in peers if one is not peer]
        self._peers = [one for one in self._peers if one is not peer]
        if isValid(peer):
            peer.deleteLater()


def _most_peers() -> int:
    """Return how many may be connected at once: a quarter of the descriptors that the system gives the program."""
    if sys.platform == "win32":
        return MOST_PEERS
    import resource

    soft, _ = resource.getrlimit(resource.RLIMIT_NOFILE)
    return MOST_PEERS if soft == resource.RLIM_INFINITY else min(MOST_PEERS, max(soft // 4, LEAST_PEERS))


def _of_the_same_user(peer: QLocalSocket) -> bool:
    """Whether a peer is of the user that runs this window, as the system tells it."""
    if sys.platform == "win32":
        return True
    try:
        with socket.socket(fileno=os.dup(int(peer.socketDescriptor()))) as line:
            return is_ours(line)
    except OSError:
        return False


def _of_phones(line: bytes) -> dict[str, object] | None:
    """Return the message of the phones' server on a line, None where it is none."""
    try:
        message = json.loads(line)
    except (ValueError, RecursionError):
        return None
    return message if isinstance(message, dict) and "phones" in message else None


def _message(line: bytes) -> tuple[str, dict[str, object], bool] | str:
    """Return the kind and fields that a line asks for and whether it may assume, or a sentence on what is wrong."""
    try:
        message = json.loads(line)
    except (ValueError, RecursionError):
        return "a call is one JSON object on a line"
    if not isinstance(message, dict) or not isinstance(message.get("kind"), str):
        return "a call needs its kind"
    fields = message.get("fields", {})
    if not isinstance(fields, dict):
        return "the fields of a call are an object"
    if {*Entry.model_fields, "kind"} & fields.keys():
        return "number, run, time and kind of an entry are not given by a call"
    return message["kind"], fields, message.get("assume") is True
