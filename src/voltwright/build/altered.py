"""A build with some values changed: every section that holds one is validated anew, the rest is shared.

For searches that try hundreds of builds. What a workshop keeps goes through the document and the reader (variants.py).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from pydantic import BaseModel, ValidationError

from voltwright.build.document import Build
from voltwright.build.variants import steps
from voltwright.quantity.entry import Written
from voltwright.quantity.errors import QuantityError

Path = tuple[str, ...]


def altered(build: Build, changes: Mapping[str, Any]) -> Build | None:
    """The build with what stands at some paths replaced, as a variant would; None where that is no valid build."""
    split = {tuple(steps(path)): _written(value, path) for path, value in changes.items()}
    try:
        return cast(Build, _within(build, split))
    except (ValidationError, QuantityError, LookupError, TypeError, ValueError):
        return None


def _written(value: Any, path: str) -> Any:
    """A scalar that remembers where it stands, as the reader makes it."""
    return Written.at(value, path) if isinstance(value, str) else value


def _within(value: Any, changes: Mapping[Path, Any]) -> Any:
    if () in changes:
        return changes[()]
    below: dict[str, dict[Path, Any]] = {}
    for (name, *rest), new in changes.items():
        below.setdefault(name, {})[tuple(rest)] = new
    if isinstance(value, BaseModel):
        new = {name: _within(getattr(value, name), each) for name, each in below.items()}
        return type(value).model_validate({**dict(value), **new})
    if isinstance(value, tuple):
        items = list(cast(tuple[Any, ...], value))
        for name, each in sorted(below.items(), key=lambda pair: int(pair[0])):
            at = int(name)
            items[at : at + 1] = [_within(items[at] if at < len(items) else None, each)]
        return tuple(items)
    if isinstance(value, Mapping):
        known = cast(Mapping[str, Any], value)
        return {**known, **{name: _within(known.get(name), each) for name, each in below.items()}}
    if value is None:
        return {name: _within(None, each) for name, each in below.items()}
    raise TypeError("the path leads into a single value")
