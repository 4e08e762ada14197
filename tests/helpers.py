"""Builds for tests: an example with a few things changed."""

from __future__ import annotations

import functools
from pathlib import Path
from typing import Any

from voltwright.build.reader import BuildFile, load, loads
from voltwright.build.variants import put
from voltwright.quantity.document import dump, parse
from voltwright.rules.dossier import Dossier, assess

EXAMPLES = Path(__file__).parents[1] / "examples"


@functools.cache
def text_of(example: str) -> str:
    return (EXAMPLES / f"{example}.yaml").read_text(encoding="utf-8")


@functools.cache
def example(name: str = "coupe") -> BuildFile:
    return load(EXAMPLES / f"{name}.yaml")


def changed(changes: dict[str, Any], name: str = "coupe") -> BuildFile:
    """The example with values set at paths; None takes a value away. Its variants are left out."""
    tree = parse(text_of(name)).tree
    tree.pop("variants", None)
    for path, value in changes.items():
        if value is None:
            _take(tree, path)
        else:
            put(tree, path, value)
    return loads(dump(tree))


def _take(tree: Any, path: str) -> None:
    *parents, last = path.split(".")
    for part in parents:
        tree = tree[int(part)] if isinstance(tree, list) else tree[part]
    del tree[int(last) if isinstance(tree, list) else last]


def dossier(changes: dict[str, Any] | None = None, name: str = "coupe", **options: Any) -> Dossier:
    """The dossier of a changed example, without bands unless asked."""
    return assess(
        changed(changes) if changes and name == "coupe" else changed(changes or {}, name),
        **({"with_bands": False} | options),
    )


def keys(made: Dossier) -> set[str]:
    return {finding.key for finding in made.findings}
