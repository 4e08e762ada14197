"""A cache: what was worked out, by everything that it depends on. Two who ask the same at once wait for one computation."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Condition
from typing import Any, TypeVar

Value = TypeVar("Value")
MOST = 64  # a dossier with its bands is a few MB


class Cache:
    """Bounded by count; what was not asked for longest goes first. Threads may share it."""

    def __init__(self, most: int = MOST) -> None:
        self._most = most
        self._kept: OrderedDict[Hashable, Any] = OrderedDict()
        self._coming: set[Hashable] = set()
        self._changed = Condition()

    def get(self, key: Hashable, make: Callable[[], Value]) -> Value:
        """The value of a key, made where it is not known. An error goes to whoever made it, and is not kept: another one tries."""
        with self._changed:
            while key in self._coming:
                self._changed.wait()
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
            self._coming.add(key)
        try:
            value = make()
        except BaseException:
            with self._changed:
                self._settled(key)
            raise
        with self._changed:
            self._kept[key] = value
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
            self._settled(key)
        return value

    def known(self, key: Hashable) -> Any | None:
        """The value where it is known already; nobody waits."""
        with self._changed:
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)

    def __len__(self) -> int:
        with self._changed:
            return len(self._kept)

    def _settled(self, key: Hashable) -> None:
        self._coming.discard(key)
        self._changed.notify_all()
