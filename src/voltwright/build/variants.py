"""Variants: named sets of changes, applied to the document and read anew."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any, cast

from voltwright.build.document import Build
from voltwright.quantity.document import Document
from voltwright.quantity.errors import BuildError, Problem


def check_variants(build: Build, document: Document) -> None:
    """Every variant must rest on the build or on another variant, without going round in a circle."""
    problems = [
        Problem(what, mend=mend, path=f"variants.{name}", line=document.line_of(f"variants.{name}"), file=document.file)
        for name in build.variants
        for what, mend in _faults(build, name)
    ]
    if problems:
        raise BuildError(problems)


def _faults(build: Build, name: str) -> list[tuple[str, str]]:
    seen = [name]
    base = build.variants[name].of
    while base is not None:
        if base not in build.variants:
            return [
                (
                    f"rests on '{base}', which does not exist",
                    f"choose one of {', '.join(build.variants)}, or leave 'of' out",
                )
            ]
        if base in seen:
            return [
                (f"goes round in a circle: {' → '.join([*seen, base])}", "let one of them rest on the build itself")
            ]
        seen.append(base)
        base = build.variants[base].of
    return []


def apply_variant(root: Mapping[str, Any], build: Build, name: str) -> dict[str, Any]:
    """The document with the changes of a variant and of those that it rests on."""
    chain = [name]
    while (base := build.variants[chain[0]].of) is not None:
        chain.insert(0, base)
    changed = copy.deepcopy(dict(root))
    changed.pop("variants", None)
    for each in chain:
        for path, value in build.variants[each].changes.items():
            put(changed, path, value, f"variants.{each}")
    return changed


def put(root: dict[str, Any], path: str, value: Any, whose: str = "") -> None:
    """Set what stands at a path, making the steps to it. Raises BuildError where the path cannot be."""
    *parents, name = path.split(".")
    place: Any = root
    for parent in parents:
        place = _child(place, parent, path, whose)
    if isinstance(place, list):
        items = cast(list[Any], place)
        index = _index(items, name, path, whose)
        if index == len(items):
            items.append(value)
        else:
            items[index] = value
    elif isinstance(place, dict):
        cast(dict[str, Any], place)[name] = value
    else:
        raise BuildError(Problem(f"'{path}' leads into a single value", path=whose))


def _child(place: Any, name: str, path: str, whose: str) -> Any:
    if isinstance(place, list):
        items = cast(list[Any], place)
        index = _index(items, name, path, whose)
        if index == len(items):
            items.append({})
        return items[index]
    if isinstance(place, dict):
        known = cast(dict[str, Any], place)
        if known.get(name) is None:
            known[name] = {}
        return known[name]
    raise BuildError(Problem(f"'{path}' leads into a single value", path=whose))


def _index(items: list[Any], name: str, path: str, whose: str) -> int:
    if not name.isdigit() or int(name) > len(items):
        raise BuildError(
            Problem(f"'{path}' names no place in a list of {len(items)}", allowed=f"0 to {len(items)}", path=whose)
        )
    return int(name)
