"""Reads a YAML document safely: every value remembers its path, every path its line, and comments survive a change.

Refused: files that are missing, folders, too large or not UTF-8; duplicate keys, aliases, tags, and more values than a
person writes. Whatever happens, a FileError or BuildError says where.
"""

# pyright: basic
# ruamel.yaml carries no types.

from __future__ import annotations

import contextlib
import io
import os
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, cast

from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq
from ruamel.yaml.composer import Composer
from ruamel.yaml.constructor import DuplicateKeyError
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import AliasEvent

from voltwright.quantity.entry import Written, WrittenInt
from voltwright.quantity.errors import BuildError, FileError, OutputError, Problem, VoltwrightError

LARGEST_FILE = 1_000_000
MOST_VALUES = 10_000
DEEPEST = 20


@dataclass(frozen=True)
class Document:
    """`root` is plain data whose scalars know their path; `lines` gives the line of each path; `tree` keeps comments."""

    root: dict[str, Any]
    lines: dict[str, int]
    tree: Any = field(repr=False)
    file: str = ""

    def line_of(self, path: str) -> int | None:
        """The line of a path, or of the nearest thing around it."""
        while path:
            if path in self.lines:
                return self.lines[path]
            path = path.rpartition(".")[0]
        return 1 if self.lines else None


def read_text(path: Path, *, error: type[VoltwrightError] = FileError) -> str:
    """The text of a file that a person wrote. Raises FileError with the cause and how to mend it."""
    name = path.name
    try:
        if path.is_dir():
            raise error(Problem(f"{name} is a folder", mend="name the file itself", file=name))
        with path.open("rb") as stream:
            raw = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise error(Problem(f"there is no file {path}", mend="check the name and the folder", file=name)) from None
    except (OSError, ValueError) as cause:
        words = getattr(cause, "strerror", None) or str(cause)
        raise error(Problem(f"{name} cannot be read: {words}", mend="check who may read it", file=name)) from None
    if len(raw) > LARGEST_FILE:
        raise error(Problem(f"{name} is larger than 1 MB", allowed="text that a person writes, up to 1 MB", file=name))
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as cause:
        line = raw[: cause.start].count(b"\n") + 1
        raise error(
            Problem(
                "a character is not written as UTF-8",
                mend="save the file as UTF-8 in your editor",
                file=name,
                line=line,
            )
        ) from None


class _StrictComposer(Composer):
    """Refuses aliases, anchors, tags, and more values or levels than a person writes."""

    values = 0
    level = 0

    def compose_node(self, parent: Any, index: Any) -> Any:
        event = self.parser.peek_event()
        line = event.start_mark.line + 1
        if isinstance(event, AliasEvent) or getattr(event, "anchor", None):
            raise BuildError(Problem("an alias or anchor (& or *) stands here", mend="write the value out", line=line))
        if getattr(event, "tag", None) and not getattr(event, "implicit", (True,))[0]:
            raise BuildError(Problem(f"a tag ({event.tag}) stands here", mend="write the plain value", line=line))
        self.values += 1
        self.level += 1
        if self.values > MOST_VALUES:
            raise BuildError(
                Problem(
                    f"the file holds more than {MOST_VALUES} values", allowed="one conversion of one car", line=line
                )
            )
        if self.level > DEEPEST:
            raise BuildError(Problem(f"values are nested more than {DEEPEST} deep", line=line))
        node = super().compose_node(parent, index)
        self.level -= 1
        return node


def _yaml() -> YAML:
    made = YAML(typ="rt", pure=True)
    made.Composer = _StrictComposer
    made.preserve_quotes = True
    made.allow_duplicate_keys = False
    made.width = 4096
    made.indent(mapping=2, sequence=4, offset=2)
    return made


def parse(text: str, file: str = "") -> Document:
    """Parse YAML. Raises BuildError naming the line for everything that is refused."""
    tree = _compose(text, file)
    if not isinstance(tree, CommentedMap):
        raise BuildError(
            Problem(
                "the file does not hold a list of names and values",
                allowed="lines such as 'title: My coupé'",
                file=file,
            )
        )
    lines: dict[str, int] = {}
    root = cast(dict[str, Any], _plain(tree, "", lines, file))
    return Document(root, lines, tree, file)


def _compose(text: str, file: str) -> Any:
    try:
        return _yaml().load(text)
    except VoltwrightError as error:
        raise BuildError([Problem(p.what, p.allowed, p.mend, p.path, p.line, file) for p in error.problems]) from None
    except DuplicateKeyError as error:
        line = error.problem_mark.line + 1 if error.problem_mark else None
        raise BuildError(
            Problem("a name stands here twice", mend="keep one of the two", line=line, file=file)
        ) from None
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        what = f"this is not YAML: {error.problem or error.context}"
        raise BuildError(
            Problem(what, mend="check indentation, colons and quotes", line=mark.line + 1 if mark else None, file=file)
        ) from None
    except RecursionError:
        raise BuildError(Problem("values are nested too deep", file=file)) from None
    except (
        YAMLError,
        ValueError,
        TypeError,
        KeyError,
        AttributeError,
        IndexError,
        OverflowError,
        AssertionError,
        NotImplementedError,
    ) as error:
        what = f"this is not YAML: {str(error).splitlines()[0] if str(error) else type(error).__name__}"
        raise BuildError(Problem(what[:200], file=file)) from None


def _plain(value: Any, path: str, lines: dict[str, int], file: str) -> Any:
    if isinstance(value, CommentedMap):
        return dict(_pairs(value, path, lines, file))
    if isinstance(value, CommentedSeq):
        return [_item(value, index, path, lines, file) for index in range(len(value))]
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, int):
        return WrittenInt.at(int(value), path)
    if isinstance(value, float):
        return Written.at(repr(float(value)), path)
    return Written.at(str(value), path)


def _pairs(value: CommentedMap, path: str, lines: dict[str, int], file: str) -> Iterator[tuple[str, Any]]:
    for key in value:
        line = value.lc.key(key)[0] + 1
        if not isinstance(key, str) or not key or len(key) > 100:
            raise BuildError(
                Problem(f"{str(key)[:40]!r} is not a name", allowed="names in letters", path=path, line=line, file=file)
            )
        child = f"{path}.{key}" if path else key
        lines[child] = line
        yield str(key), _plain(value[key], child, lines, file)


def _item(value: CommentedSeq, index: int, path: str, lines: dict[str, int], file: str) -> Any:
    child = f"{path}.{index}"
    with contextlib.suppress(KeyError, TypeError, IndexError):
        lines[child] = value.lc.item(index)[0] + 1
    return _plain(value[index], child, lines, file)


def dump(tree: Any) -> str:
    """The document as text, comments and order kept."""
    stream = io.StringIO()
    _yaml().dump(tree, stream)
    return stream.getvalue()


def write_whole(path: Path, content: bytes) -> None:
    """Write a file whole or not at all. Raises OutputError."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    except OSError as cause:
        raise OutputError(_unwritable(path, cause)) from None
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        Path(temporary).chmod(0o644)
        Path(temporary).replace(path)
    except OSError as cause:
        Path(temporary).unlink(missing_ok=True)
        raise OutputError(_unwritable(path, cause)) from None


def _unwritable(path: Path, cause: OSError) -> Problem:
    return Problem(
        f"{path} cannot be written: {cause.strerror}", mend="choose a folder where you may write, with room left"
    )
