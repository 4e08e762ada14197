"""Which doors are open: under which addresses this server is reached, and whether people must sign in."""

from __future__ import annotations

import re
from dataclasses import dataclass
from ipaddress import ip_address

_HOST = re.compile(r"(\[[0-9a-f:.]+\]|[a-z0-9._-]+)(?::([0-9]{1,5}))?")


@dataclass(frozen=True)
class Doors:
    """`names` are further names of this computer in the network of the workshop, such as `workshop.local`."""

    port: int
    lan: bool = False
    tls: bool = False
    names: tuple[str, ...] = ()

    @property
    def scheme(self) -> str:
        return "https" if self.tls else "http"

    def is_ours(self, host: str, here: str) -> bool:
        """Whether a `Host` is an address of this server; `here` is the address of this computer that was reached.

        A page elsewhere can give its own name our address (DNS rebinding), but the browser then still sends its name.
        """
        found = _HOST.fullmatch(host.lower())
        if found is None or int(found[2] or (443 if self.tls else 80)) != self.port:
            return False
        name = found[1].strip("[]")
        if name == "localhost" or name in (each.lower() for each in self.names):
            return True
        try:
            address = ip_address(name)
            return address.is_loopback or (self.lan and address == ip_address(here.partition("%")[0]))
        except ValueError:
            return False

    def is_own_origin(self, origin: str, host: str) -> bool:
        """Whether an `Origin` is that of the page which this server gave out under this `Host` (RFC 6454)."""
        return origin.lower() == f"{self.scheme}://{host.lower()}"
