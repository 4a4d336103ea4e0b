"""Who may see the page: this computer always, others on the network only with a token from this computer's screen.

A token opens the door once; the browser that brought it gets a cookie and needs no other. Both are random, held in
memory only, and gone when the server stops.
"""

from __future__ import annotations

import ipaddress
import secrets
import socket
import time
from collections.abc import Callable
from dataclasses import dataclass, field

TOKEN_LIFE_S = 600.0  # time to walk over and point the phone at the screen
COOKIE = "moldvol_bench"
LOOPBACK_NAMES = ("127.0.0.1", "localhost", "[::1]")


@dataclass(slots=True)
class Doorkeeper:
    """Makes tokens, takes each of them once, and knows the cookies given for them."""

    clock: Callable[[], float] = time.monotonic
    _open_until: dict[str, float] = field(default_factory=dict, repr=False)
    _cookies: set[str] = field(default_factory=set, repr=False)

    def token(self) -> str:
        """A fresh token, good for one browser within ten minutes."""
        now = self.clock()
        self._open_until = {token: until for token, until in self._open_until.items() if until > now}
        token = secrets.token_urlsafe(16)
        self._open_until[token] = now + TOKEN_LIFE_S
        return token

    def admit(self, token: str) -> str | None:
        """The cookie given for *token*, which is used up by it; None for one that is unknown, used or too old."""
        until = self._open_until.pop(token, None)
        if until is None or until <= self.clock():
            return None
        cookie = secrets.token_urlsafe(32)
        self._cookies.add(cookie)
        return cookie

    def knows(self, cookie: str | None) -> bool:
        """Whether *cookie* was given out by this doorkeeper."""
        return cookie is not None and cookie in self._cookies


def hosts_allowed(port: int, addresses: tuple[str, ...] = ()) -> frozenset[str]:
    """The ``Host`` headers that name this page: loopback, and the *addresses* of the workshop network.

    >>> sorted(hosts_allowed(8080))
    ['127.0.0.1:8080', '[::1]:8080', 'localhost:8080']
    """
    names = (*LOOPBACK_NAMES, *addresses)
    bare = names if port == 80 else ()  # browsers leave the usual port out
    return frozenset([*(f"{name.casefold()}:{port}" for name in names), *(name.casefold() for name in bare)])


def is_loopback(address: str) -> bool:
    """Whether the peer *address* is this computer.

    >>> is_loopback("127.0.0.1"), is_loopback("192.168.1.7"), is_loopback("testclient")
    (True, False, False)
    """
    try:
        peer = ipaddress.ip_address(address)
    except ValueError:
        return False
    return (getattr(peer, "ipv4_mapped", None) or peer).is_loopback


def network_addresses() -> tuple[str, ...]:
    """The IPv4 addresses under which this computer is seen on its network, the likeliest first; none if it has none."""
    found = [_address_towards_outside(), *_addresses_of_own_name()]
    return tuple(dict.fromkeys(address for address in found if address and not is_loopback(address)))


def _address_towards_outside() -> str | None:
    # Connecting a datagram socket sends nothing; it only asks the system which of its addresses it would use.
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("10.255.255.255", 1))
        except OSError:
            return None
        return str(probe.getsockname()[0])


def _addresses_of_own_name() -> list[str]:
    try:
        return [str(entry[4][0]) for entry in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    except OSError:
        return []
