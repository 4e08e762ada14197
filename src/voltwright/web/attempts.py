"""Tries to sign in: after a few that failed, each further one must wait longer, by name and by address."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from ipaddress import IPv6Address, ip_address

from voltwright.web.refusals import MustWaitError

FREE = 3  # people mistype
LONGEST = 300.0  # s
FORGOTTEN_AFTER = 3600.0  # s without a try
MOST = 10_000  # names and addresses that are remembered


@dataclass
class _Tries:
    failed: int = 0
    last: float = 0.0


class Attempts:
    """A try counts as failed until it is known to be right, so that many at once gain nothing."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._tries: OrderedDict[str, _Tries] = OrderedDict()
        self._lock = threading.Lock()

    def begin(self, name: str, address: str) -> None:
        """Count a try. Raises MustWaitError where one of the two has to wait still; that try is not looked at."""
        now = self._clock()
        with self._lock:
            known = [self._of(key, now) for key in _keys(name, address)]
            waits = [each.last + wait_after(each.failed) - now for each in known]
            if max(waits) > 0:
                raise MustWaitError(max(waits))
            for each in known:
                each.failed, each.last = each.failed + 1, now

    def right(self, name: str, address: str) -> None:
        """The try was right: the name begins afresh, and the address loses this one try alone."""
        self.take_back(name, address)
        with self._lock:
            self._tries.pop(_keys(name, address)[0], None)

    def take_back(self, name: str, address: str) -> None:
        """Nothing was tried after all: something else went wrong before it was known whether it was right."""
        with self._lock:
            for key in _keys(name, address):
                if key in self._tries:
                    self._tries[key].failed -= 1

    def _of(self, key: str, now: float) -> _Tries:
        found = self._tries.pop(key, None)
        if found is None or now - found.last > FORGOTTEN_AFTER:
            found = _Tries(last=now)
        self._tries[key] = found
        while len(self._tries) > MOST:
            self._tries.popitem(last=False)
        return found


def wait_after(failed: int) -> float:
    """How long to wait after so many tries that failed. [s]"""
    return 0.0 if failed < FREE else min(2.0 ** min(failed - FREE, 30), LONGEST)


def _keys(name: str, address: str) -> tuple[str, str]:
    return f"name {name.strip().casefold()[:200]}", f"address {_network(address)}"


def _network(address: str) -> str:
    """One who has an IPv6 address has the 2**64 beside it too (RFC 4291, 2.5.1)."""
    try:
        known = ip_address(address.partition("%")[0])
    except ValueError:
        return address[:200]
    return str(known) if not isinstance(known, IPv6Address) or known.ipv4_mapped else known.exploded[:19]
