"""The desktop's buses, asked before Qt asks them: whether they are there and answer.

Qt waits without end for a bus that takes its connection and says nothing, and 25 s for each answer of a service on
one, in the window's thread and before anything is shown.
"""

from __future__ import annotations

import contextlib
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jeepney import Message
    from jeepney.io.blocking import DBusConnection

BUS = "DBUS_SESSION_BUS_ADDRESS"
READERS_BUS = "AT_SPI_BUS_ADDRESS"
READERS_ALWAYS = "QT_LINUX_ACCESSIBILITY_ALWAYS_ON"
NO_BUS = "disabled:"
"""An address that no bus has: what looks for one then starts none of its own."""
PATIENCE_S = 0.5
"""How long a bus has to answer: it does so within a few milliseconds."""
STARTING_S = 2.0
"""How long the service of screen readers has, which may have to be started for it."""


def session_bus() -> str | None:
    """Return the address of the session bus that is there, None when there is none."""
    address = os.environ.get(BUS)
    if address:
        return None if address == NO_BUS else address
    folder = os.environ.get("XDG_RUNTIME_DIR")
    usual = Path(folder) / "bus" if folder else None
    return f"unix:path={usual}" if usual is not None and usual.is_socket() else None


def connected(address: str, patience_s: float) -> DBusConnection:
    """Return a connection to the bus at `address`, to be closed; each question on it waits `patience_s` at most.

    Raises TimeoutError for a bus that says nothing, and what jeepney raises for one that cannot be reached.
    """
    from jeepney.bus import get_bus
    from jeepney.io.blocking import DBusConnection, prep_socket

    class Patient(DBusConnection):  # type: ignore[misc]
        def send_and_get_reply(self, message: Message, *, timeout: float | None = None) -> Message:
            return super().send_and_get_reply(message, timeout=patience_s if timeout is None else timeout)

    socket = prep_socket(get_bus(address), timeout=patience_s)
    try:
        return Patient(socket)
    except BaseException:
        socket.close()
        raise


def shun_silent() -> None:
    """Keep this program from a session bus that says nothing, and screen readers' service from it where that does.

    Where there is no session bus, nobody in this program starts one either: it would outlive us.
    """
    if sys.platform != "linux":
        return
    address = session_bus()
    if address is None or _silent(address):
        os.environ[BUS] = NO_BUS
    elif _readers_silent(address):
        os.environ[READERS_BUS] = NO_BUS


def _silent(address: str) -> bool:
    """Return whether nobody answers there in the bus's own tongue; where nobody is, Qt sees so at once."""
    try:
        from jeepney.bus import get_bus

        get_bus(address)
    except Exception:
        return False
    try:
        connected(address, PATIENCE_S).close()
    except TimeoutError:
        return True
    except OSError:
        return False
    except Exception:
        return True
    return False


def _readers_silent(address: str) -> bool:
    if own := os.environ.get(READERS_BUS):
        return _silent(own)
    with contextlib.suppress(Exception):
        from jeepney import DBusAddress, MessageType, Properties, new_method_call

        service = DBusAddress("/org/a11y/bus", bus_name="org.a11y.Bus", interface="org.a11y.Bus")
        status = Properties(DBusAddress("/org/a11y/bus", bus_name="org.a11y.Bus", interface="org.a11y.Status"))
        with connected(address, STARTING_S) as bus:
            try:
                wanted = [bus.send_and_get_reply(status.get(name)) for name in ("IsEnabled", "ScreenReaderEnabled")]
                if not (_true(wanted) or os.environ.get(READERS_ALWAYS)):
                    return False
                answer = bus.send_and_get_reply(new_method_call(service, "GetAddress"))
            except TimeoutError:
                return True
        return answer.header.message_type is MessageType.method_return and _silent(answer.body[0])
    return False


def _true(answers: list[Message]) -> bool:
    """Return whether one of these properties is set; an error in their place is not."""
    return any(answer.body and answer.body[0] == ("b", True) for answer in answers)
