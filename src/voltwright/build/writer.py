"""Changes a build file in place: comments, order and everything untouched stay as they were."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from voltwright.build.reader import BuildFile, loads
from voltwright.build.variants import put, steps
from voltwright.quantity.document import Document, dump, parse, write_whole
from voltwright.quantity.yaml_text import with_scalar


def text_of(document: Document) -> str:
    """The document as it was written, with its comments."""
    return document.text


def changed(build_file: BuildFile, path: str, value: Any) -> BuildFile:
    """The build file with one value changed, read anew. Raises BuildError where the result is not a build.

    A value that stands there already is exchanged and not one other character moves; whatever is added is set
    in the house's own indentation.
    """
    document = build_file.document
    text = with_scalar(document.text, steps(path), value)
    if text is None:
        tree = parse(document.text, document.file).tree
        put(tree, path, value)
        text = dump(tree)
    return loads(text, document.file, build_file.shelf, build_file.folder)


def save(build_file: BuildFile, path: str | Path) -> None:
    """Write the document whole or not at all. Raises OutputError."""
    write_whole(Path(path), text_of(build_file.document).encode())
