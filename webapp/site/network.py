"""Where a request comes from, judged by its connection and never by a header; the names that this computer has."""

from __future__ import annotations

import socket
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from ipaddress import IPv6Address, ip_address

from starlette.types import Scope

ITSELF = frozenset({"127.0.0.1", "::1"})
"""The computer itself. Any other loopback address, such as 127.0.0.2, is a way in like the network's."""
_ON_THE_WAY_OUT = ("198.51.100.1", "192.168.255.254", "10.255.255.254", "172.31.255.254")
"""To nobody: by which of its addresses the computer would send there is what is asked, and nothing is sent.

The first is of RFC 5737, for documentation; the others are the last of RFC 1918, where shops' networks are.
"""
_DEFAULT_PORT = {"http": 80, "https": 443}


@dataclass(frozen=True, slots=True)
class Network:
    """The program in the network: on ``port``, under the computer's ``name`` beside its addresses."""

    port: int
    scheme: str = "http"
    name: str = ""

    def names(self, address: str) -> frozenset[str]:
        """The Host values for a connection that came in on ``address``: that address, and the computer's name."""
        names = {bracketed(address), *([self.name, f"{self.name}.local"] if self.name else [])}
        return with_port(names, self.port, self.scheme)

    def addresses(self) -> tuple[str, ...]:
        """Where other devices open the program, the likeliest first; none where there is no network now."""
        left_out = self.port == _DEFAULT_PORT[self.scheme]
        port = "" if left_out else f":{self.port}"
        return tuple(f"{self.scheme}://{bracketed(address)}{port}" for address in own_addresses())


def with_port(names: Collection[str], port: int, scheme: str) -> frozenset[str]:
    """Host values of these names; a browser leaves the port out where it is the scheme's own."""
    bare = frozenset(names) if port == _DEFAULT_PORT[scheme] else frozenset[str]()
    return frozenset(f"{name}:{port}" for name in names) | bare


def at_the_computer(scope: Scope) -> bool:
    """Whether the request came in on this computer's own address and from it; what is not known is elsewhere."""
    ends = (scope.get("server"), scope.get("client"))
    return all(end is not None and end[0] in ITSELF for end in ends)


def address_for_others(network: Network | None, scope: Scope) -> str:
    """Where others open what was asked for at the computer itself.

    "" where that is the address that the request itself was for: it came over the network, or there is none.
    """
    if network is None or not at_the_computer(scope):
        return ""
    return next(iter(network.addresses()), "")


def own_name() -> str:
    """The computer's name in lower case; "" where it is no name that an address could have."""
    name = socket.gethostname().split(".")[0].lower()
    plain = name.replace("-", "")
    return name if plain.isascii() and plain.isalnum() and not name.isdigit() and name != "localhost" else ""


def own_addresses() -> tuple[str, ...]:
    """The computer's addresses in the networks that it is in; asks no other computer."""
    return tuple(dict.fromkeys(_found()))


def _found() -> Iterator[str]:
    for far in _ON_THE_WAY_OUT:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            try:
                probe.connect((far, 9))
            except OSError:
                continue
            found = str(probe.getsockname()[0])
        if not ip_address(found).is_loopback:
            yield found


def bracketed(address: str) -> str:
    """An address as it stands in a Host: an IPv6 one in brackets, in its short form."""
    try:
        read = ip_address(address.partition("%")[0])
    except ValueError:
        return address.lower()
    return f"[{read.compressed}]" if isinstance(read, IPv6Address) else str(read)
