"""The addresses of this machine that phones could reach, the likeliest first."""

from __future__ import annotations

import ipaddress
import socket
from dataclasses import dataclass

import psutil  # type: ignore[import-untyped]

_VIRTUAL = ("docker", "veth", "br-", "virbr", "vmnet", "vboxnet", "tun", "utun", "tailscale", "zt", "wg")
"""How interfaces begin that lead to no room of people."""


@dataclass(frozen=True, slots=True)
class Address:
    """An address of this machine, and the interface that has it."""

    address: str
    interface: str

    @property
    def alone(self) -> bool:
        """Whether only this machine reaches it."""
        return ipaddress.ip_address(self.address).is_loopback

    @property
    def words(self) -> str:
        """Return how it is told from others."""
        return f"{self.address} (this machine alone)" if self.alone else f"{self.address} on {self.interface}"


def addresses() -> list[Address]:
    """Return this machine's addresses of the fourth version, of interfaces that are up; its own one last."""
    up = {name for name, one in psutil.net_if_stats().items() if one.isup}
    found = [
        Address(one.address, name)
        for name, ones in psutil.net_if_addrs().items()
        for one in ones
        if one.family == socket.AF_INET and name in up and not ipaddress.ip_address(one.address).is_link_local
    ]
    return sorted(found, key=_likely)


def _likely(one: Address) -> tuple[bool, bool, bool, str]:
    """Return what puts an address before others: a private one of an interface of its own."""
    private = ipaddress.ip_address(one.address).is_private
    return one.alone, one.interface.startswith(_VIRTUAL), not private, one.interface
