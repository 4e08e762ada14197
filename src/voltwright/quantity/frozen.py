"""A dictionary that cannot be changed, for documents that must not."""

from __future__ import annotations

from typing import Any, NoReturn, TypeVar

K = TypeVar("K")
V = TypeVar("V")


class ReadOnly(dict[K, V]):
    """Reads like any dictionary; every change is refused."""

    def _refuse(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError("a document cannot be changed; change the file and read it anew")

    __setitem__ = __delitem__ = __ior__ = _refuse  # pyright: ignore[reportAssignmentType, reportIncompatibleMethodOverride]
    clear = pop = popitem = setdefault = update = _refuse  # pyright: ignore[reportAssignmentType, reportIncompatibleMethodOverride]

    def __reduce__(self) -> tuple[Any, ...]:
        return ReadOnly, (dict(self),)
