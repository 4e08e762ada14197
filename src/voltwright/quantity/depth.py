"""How deep values are nested in one another, looked at without going down into them by recursion."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, cast


def is_deeper(value: Any, levels: int) -> bool:
    """Whether there are values in more than so many lists or mappings around one another."""
    layer: list[Any] = [value]
    for _ in range(levels + 1):
        layer = [each for holder in layer for each in _inside(holder)]
        if not layer:
            return False
    return True


def _inside(holder: Any) -> Iterable[Any]:
    if isinstance(holder, dict):
        return cast(dict[Any, Any], holder).values()
    return cast(Iterable[Any], holder) if isinstance(holder, list | tuple) else ()
