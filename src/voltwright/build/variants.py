"""Variants: named sets of changes, applied to the document and read anew."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping, Sequence
from typing import Any, cast

from voltwright.build.document import Build
from voltwright.quantity.document import Document, copied
from voltwright.quantity.entry import Written, WrittenInt
from voltwright.quantity.errors import BuildError, Problem

_PRICES = "costing.prices."
MOST_DIGITS = 9  # of a number in a path: no list is that long, and what is longer need not be read
_CHANGE = re.compile(r"(variants)\.([^.]+)\.(changes)\.(.+)")  # below it a path of the build follows


def check_variants(build: Build, document: Document) -> None:
    """Every variant must rest on the build or on another variant, without going round in a circle."""
    allowed = "the name of another variant"
    problems = [
        Problem(what, allowed, mend, f"variants.{name}.of", document.line_of(f"variants.{name}.of"), document.file)
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
            near = difflib.get_close_matches(base, [each for each in build.variants if each != name], n=1)
            mend = f"write {near[0]}" if near else "take it out, so that the variant rests on the build itself"
            return [(f"the variant rests on '{base}', which does not exist", mend)]
        if base in seen:
            what = f"the variants go round in a circle: {' → '.join([*seen, base])}"
            return [(what, "let one of them rest on the build itself")]
        seen.append(base)
        base = build.variants[base].of
    return []


def chain_of(build: Build, name: str) -> tuple[str, ...]:
    """A variant after those that it rests on, the first of which rests on the build itself."""
    chain = [name]
    while (base := build.variants[chain[0]].of) is not None:
        chain.insert(0, base)
    return tuple(chain)


def changes_of(build: Build, name: str) -> dict[str, Any]:
    """What a variant and those that it rests on change; of one path what is written last."""
    return {path: value for each in chain_of(build, name) for path, value in build.variants[each].changes.items()}


def apply_variant(root: Mapping[str, Any], build: Build, name: str) -> dict[str, Any]:
    """The document with the changes of a variant and of those that it rests on."""
    changed: dict[str, Any] = copied(root)
    changed.pop("variants", None)
    for each in chain_of(build, name):
        for path, value in build.variants[each].changes.items():
            put(changed, path, _standing_at(value, path))
    return changed


def _standing_at(value: Any, path: str) -> Any:
    """A copy that remembers the place in the build where it now stands."""
    if isinstance(value, Mapping):
        pairs = cast(Mapping[str, Any], value).items()
        return {name: _standing_at(each, f"{path}.{name}") for name, each in pairs}
    if isinstance(value, (list, tuple)):
        return [_standing_at(each, f"{path}.{at}") for at, each in enumerate(cast(Sequence[Any], value))]
    if isinstance(value, Written):
        return Written.at(str(value), path)
    return WrittenInt.at(int(value), path) if isinstance(value, WrittenInt) else value


def steps(path: str) -> list[str]:
    """A path in steps; below costing.prices an id follows, and below the changes of a variant a path: both may hold dots."""
    if change := _CHANGE.fullmatch(path):
        return list(change.groups())
    if path.startswith(_PRICES):
        return [*_PRICES.strip(".").split("."), path.removeprefix(_PRICES)]
    return path.split(".")


def changed_path(path: str) -> str:
    """The path of the build that a change of a variant stands for; any other path as it is."""
    change = _CHANGE.fullmatch(path)
    return change[4] if change else path


def put(root: dict[str, Any], path: str, value: Any) -> None:
    """Set what stands at a path, making the steps to it. Raises BuildError where the path cannot be."""
    *parents, name = steps(path)
    place: Any = root
    for parent in parents:
        place = _child(place, parent, path)
    if isinstance(place, list):
        items = cast(list[Any], place)
        index = _index(items, name, path)
        if index == len(items):
            items.append(value)
        else:
            items[index] = value
    elif isinstance(place, dict):
        cast(dict[str, Any], place)[name] = value
    else:
        raise _single(path)


def take_out(root: dict[str, Any], path: str) -> None:
    """Take out what stands at a path. Raises BuildError where nothing does."""
    *parents, name = steps(path)
    place: Any = root
    for parent in parents:
        place = _standing(place, parent, path)
    _standing(place, name, path)
    del place[int(name) if isinstance(place, list) else name]


def _standing(place: Any, name: str, path: str) -> Any:
    if isinstance(place, list) and _index(cast(list[Any], place), name, path) < len(cast(list[Any], place)):
        return cast(list[Any], place)[int(name)]
    if isinstance(place, dict) and name in place:
        return cast(dict[str, Any], place)[name]
    raise BuildError(Problem("nothing stands at this path", "a path of the build file", "look at it again", path))


def _child(place: Any, name: str, path: str) -> Any:
    if isinstance(place, list):
        items = cast(list[Any], place)
        index = _index(items, name, path)
        if index == len(items):
            items.append({})
        return items[index]
    if isinstance(place, dict):
        known = cast(dict[str, Any], place)
        if known.get(name) is None:
            known[name] = {}
        return known[name]
    raise _single(path)


def _single(path: str) -> BuildError:
    mend = "end the path where the value stands"
    return BuildError(Problem("the path leads into a single value", "a path of the build file", mend, path))


def number_of(step: str) -> int | None:
    """Which item of a list a step of a path counts, from 0; None where it counts none."""
    return int(step) if step.isascii() and step.isdigit() and len(step) <= MOST_DIGITS else None


def list_of(path: str) -> str:
    """The list whose item stands at a path; nothing where no item does."""
    around, _, last = path.rpartition(".")
    return "" if number_of(last) is None else around


def _index(items: list[Any], name: str, path: str) -> int:
    number = number_of(name)
    if number is None or number > len(items):
        what = f"'{name[:40]}' names no place in a list of {len(items)}"
        raise BuildError(Problem(what, f"0 to {len(items)}", "count from 0; the number after the last adds one", path))
    return number
