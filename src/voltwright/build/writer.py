"""Changes a build file in place: comments, order and everything untouched stay as they were."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from voltwright.build.reader import BuildFile, from_document
from voltwright.build.variants import put, steps, take_out
from voltwright.quantity.depth import is_deeper
from voltwright.quantity.document import Document, dump, exchanged, parse, tree_of, write_whole
from voltwright.quantity.errors import BuildError, Problem
from voltwright.quantity.yaml_text import DEEPEST


def text_of(document: Document) -> str:
    """The document as it was written, with its comments."""
    return document.text


def changed(build_file: BuildFile, path: str, value: Any) -> BuildFile:
    """The build file with one value changed, read anew. Raises BuildError where the result is not a build.

    A value that stands there already is exchanged and not one other character moves; whatever is added is set
    in the house's own indentation.
    """
    document = rewritten(build_file.document, {path: value})
    return from_document(document, build_file.shelf, build_file.folder)


def rewritten(document: Document, changes: Mapping[str, Any]) -> Document:
    """The document with the values at some paths changed. Whether the result is a build is not looked at here.

    Raises BuildError where a path cannot be.
    """
    for path, value in changes.items():
        _must_not_be_deep(path, value)
        document = exchanged(document, steps(path), value) or _added(document, path, value)
    return document


def _added(document: Document, path: str, value: Any) -> Document:
    tree = tree_of(document)
    put(tree, path, value)
    return parse(dump(tree), document.file)


def _must_not_be_deep(path: str, value: Any) -> None:
    """Raises BuildError where the reader would refuse it in any case; the writer would first have gone too deep itself."""
    if not is_deeper(value, DEEPEST):
        return
    what = f"values are nested more than {DEEPEST} deep"
    raise BuildError(Problem(what, f"up to {DEEPEST} levels", "write fewer brackets within one another", path))


def shortened(document: Document, path: str) -> Document:
    """The document without what stands at a path. Raises BuildError where nothing does."""
    tree = tree_of(document)
    take_out(tree, path)
    return parse(dump(tree), document.file)


def save(build_file: BuildFile, path: str | Path) -> None:
    """Write the document whole or not at all. Raises OutputError."""
    write_whole(Path(path), text_of(build_file.document).encode())
