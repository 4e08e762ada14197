"""Walks the schema of the document: which names may stand at a path."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args, get_origin

from pydantic import BaseModel

from voltwright.build.document import Build
from voltwright.quantity.entry import Entry


def fields_at(path: tuple[Any, ...]) -> list[str]:
    """The names that are known at a path of the document."""
    model: Any = Build
    for part in path:
        model = _step(model, part)
        if model is None:
            return []
    return sorted(model.model_fields) if isinstance(model, type) and issubclass(model, BaseModel) else []


def _step(model: Any, part: Any) -> Any:
    if isinstance(model, type) and issubclass(model, BaseModel):
        info = model.model_fields.get(str(part))
        return _inner(info.annotation) if info else None
    if get_origin(model) is tuple or get_origin(model) is dict:
        return _inner([each for each in get_args(model) if each is not Ellipsis][-1])
    return None


def _inner(annotation: Any) -> Any:
    """The model, list or map inside `X | None` and `Annotated[X, ...]`."""
    if hasattr(annotation, "__metadata__"):
        return _inner(annotation.__origin__)
    if isinstance(annotation, type) or get_origin(annotation) in (tuple, dict):
        return annotation
    options = [each for each in get_args(annotation) if each is not type(None)]
    return _inner(options[0]) if options else annotation


def all_paths() -> Iterator[tuple[str, Any]]:
    """Every path of the schema with the type that stands there; lists as `[]`, maps as `{}`."""
    yield from _paths(Build, "")


def _paths(model: Any, path: str) -> Iterator[tuple[str, Any]]:
    model = _inner(model)
    if isinstance(model, type) and issubclass(model, BaseModel):
        for name, info in model.model_fields.items():
            yield from _paths(info.annotation, f"{path}.{name}" if path else name)
    elif get_origin(model) in (tuple, dict):
        inner = [each for each in get_args(model) if each is not Ellipsis][-1]
        yield from _paths(inner, f"{path}{'[]' if get_origin(model) is tuple else '{}'}")
    else:
        yield path, Entry if model is Entry else model
