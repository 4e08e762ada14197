"""Changes a build file in place: comments, order and everything untouched stay as they were."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from voltwright.build.reader import BuildFile, loads
from voltwright.build.variants import put
from voltwright.quantity.document import Document, dump, write_whole


def text_of(document: Document) -> str:
    """The document as text, with its comments."""
    return dump(document.tree)


def changed(build_file: BuildFile, path: str, value: Any) -> BuildFile:
    """The build file with one value changed, read anew. Raises BuildError where the result is not a build."""
    document = build_file.document
    fresh = loads(text_of(document), document.file, build_file.shelf).document
    put(fresh.tree, path, value)
    return loads(dump(fresh.tree), document.file, build_file.shelf)


def save(build_file: BuildFile, path: str | Path) -> None:
    """Write the document whole or not at all. Raises OutputError."""
    write_whole(Path(path), text_of(build_file.document).encode())
