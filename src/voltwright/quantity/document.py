"""Reads a YAML document safely: every value remembers its path, every path its line, and comments survive a change.

Refused: files that are missing, folders, too large or not UTF-8; duplicate keys, aliases, tags, and more values than a
person writes. Whatever happens, a FileError or BuildError says where.
"""

# pyright: basic
# ruamel.yaml carries no types.

from __future__ import annotations

import contextlib
import os
import re
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, cast

from voltwright.quantity.entry import Written, WrittenInt
from voltwright.quantity.errors import BuildError, FileError, OutputError, Problem, VoltwrightError
from voltwright.quantity.grammar import is_behind_comma
from voltwright.quantity.yaml_text import CommentedMap, CommentedSeq, Spots, dump, load_tree, scalar_text

__all__ = ["Document", "copied", "dump", "exchanged", "parse", "read_text", "tree_of", "write_whole"]

LARGEST_FILE = 1_000_000
# What a person writes of one car is far below these; what is above them would keep the parser busy for seconds.
LARGEST_TEXT = 300_000
LONGEST_LINE = 2_000
MOST_LINES = 10_000
LONGEST_NAME = 100
_ODD = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]")
_WHOLE_AT_END = re.compile(r"(?<![0-9.])[0-9]+$")
_BREAK = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True)
class Document:
    """`root` is plain data whose scalars know their path; `lines` gives the line of each path.

    `spots` tells where in the text each scalar begins and ends, by the steps to it.
    """

    root: dict[str, Any]
    lines: dict[str, int]
    file: str = ""
    text: str = field(default="", repr=False)
    spots: Spots = field(default_factory=dict[tuple[str, ...], tuple[int, int]], repr=False)

    def line_of(self, path: str) -> int | None:
        """The line of a path, or of the nearest thing around it."""
        while path:
            if path in self.lines:
                return self.lines[path]
            path = path.rpartition(".")[0]
        return 1 if self.lines else None


def read_text(path: Path, *, error: type[VoltwrightError] = FileError) -> str:
    """The text of a file that a person wrote. Raises FileError with the cause and how to mend it."""
    name, allowed = path.name, "a text file of up to 1 MB, written as UTF-8"
    try:
        if path.is_dir():
            raise error(Problem(f"{path} is a folder", allowed, "name the file itself", file=name))
        with path.open("rb") as stream:
            raw = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise error(Problem(f"there is no file {path}", allowed, "check the name and the folder", file=name)) from None
    except (OSError, ValueError) as cause:
        words = getattr(cause, "strerror", None) or str(cause)
        what = f"{path} cannot be read: {words}"
        raise error(Problem(what, allowed, "check its name, and who may read it", file=name)) from None
    return text_in(name, raw, error=error)


def text_in(name: str, raw: bytes, *, error: type[VoltwrightError] = FileError) -> str:
    """The text of a file by its content. Raises FileError where it is too large, or no UTF-8."""
    allowed = "a text file of up to 1 MB, written as UTF-8"
    if len(raw) > LARGEST_FILE:
        raise error(Problem(f"{name} is larger than 1 MB", allowed, "name a file that a person wrote", file=name))
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as cause:
        line = raw[: cause.start].count(b"\n") + 1
        what, mend = "a character is not written as UTF-8", "save the file as UTF-8 in your editor"
        raise error(Problem(what, allowed, mend, file=name, line=line)) from None


def parse(text: str, file: str = "") -> Document:
    """Parse YAML. Raises BuildError naming the line for everything that is refused."""
    text = text.removeprefix("\ufeff")
    problem = _oversize(text) or odd_character(text)
    if problem:
        raise BuildError(replace(problem, what=f"this is not YAML: {problem.what}", file=file))
    tree, spots = load_tree(text, file)
    if not isinstance(tree, CommentedMap):
        what = "the file does not hold a list of names and values"
        mend = "begin with a line 'voltwright: 1'"
        raise BuildError(Problem(what, "lines such as 'title: My coupé'", mend, file=file, line=1))
    commas = list(_commas(tree, "", _BREAK.split(text)))
    if commas:
        raise BuildError([replace(each, file=file) for each in commas])
    lines: dict[str, int] = {}
    root = cast(dict[str, Any], _plain(tree, "", lines, file))
    return Document(root, lines, file, text, spots)


def tree_of(document: Document) -> Any:
    """The values with their comments, for `dump`; whoever asks may change it."""
    return load_tree(document.text, document.file)[0]


def copied(tree: Any) -> Any:
    """Plain data once more; the values in it, which nobody changes, are the same."""
    if isinstance(tree, Mapping):
        return {name: copied(each) for name, each in tree.items()}
    return [copied(each) for each in tree] if isinstance(tree, list) else tree


def exchanged(document: Document, steps: Sequence[str], value: Any) -> Document | None:
    """The document with one scalar in place of another and every other character kept.

    Only the new scalar is read: to read the whole anew takes most of the time of an edit. None where that has to be done, since no
    scalar stands there, or one over several lines, or the text grows too large.
    """
    at = tuple(steps)
    start, end = document.spots.get(at, (0, 0))
    if start == end or isinstance(value, (dict, list, tuple)) or _BREAK.search(document.text, start, end):
        return None
    written, path = scalar_text(value), ".".join(at)
    (read,), spots = load_tree(f"- {written}\n", document.file)
    if spots != {("0",): (2, 2 + len(written))}:
        return None
    text = document.text[:start] + written + document.text[end:]
    if _oversize(text) or odd_character(written):
        return None
    longer = len(written) - (end - start)
    moved = {each: (a + longer, b + longer) if a >= end else (a, b) for each, (a, b) in document.spots.items()}
    root = _with(document.root, at, _plain(read, path, document.lines, document.file))
    return replace(document, root=root, text=text, spots=moved | {at: (start, start + len(written))})


def _with(here: Any, steps: Sequence[str], value: Any) -> Any:
    """A copy with another value at the end of the steps; what they do not touch is shared."""
    if not steps:
        return value
    first, *rest = steps
    if isinstance(here, dict):
        return here | {first: _with(here[first], rest, value)}
    return [_with(each, rest, value) if index == int(first) else each for index, each in enumerate(here)]


def _oversize(text: str) -> Problem | None:
    if len(text) > LARGEST_TEXT:
        allowed = f"up to {LARGEST_TEXT} characters"
        return Problem(
            f"the file holds {len(text)} characters", allowed, "write one file for each car, and take pictures out"
        )
    rows = _BREAK.split(text)
    if len(rows) > MOST_LINES:
        return Problem(f"the file holds {len(rows)} lines", f"up to {MOST_LINES} lines", "write one file for each car")
    for number, row in enumerate(rows, 1):
        if len(row) > LONGEST_LINE:
            what, allowed = f"this line holds {len(row)} characters", f"up to {LONGEST_LINE} in a line"
            return Problem(what, allowed, "break it into several lines", line=number)
        if row.startswith("%"):
            return Problem("a directive (%) stands here", "names and values", "take the line out", line=number)
    return None


def odd_character(text: str) -> Problem | None:
    """A character that no keyboard makes, with its line."""
    odd = _ODD.search(text)
    if odd is None:
        return None
    line = len(_BREAK.split(text[: odd.start()]))
    what = f"a control character (U+{ord(odd[0]):04X}) stands here"
    return Problem(what, "text that can be printed", "take it out, or save the file as plain text in UTF-8", line=line)


def _plain(value: Any, path: str, lines: dict[str, int], file: str) -> Any:
    if isinstance(value, CommentedMap):
        return dict(_pairs(value, path, lines, file))
    if isinstance(value, CommentedSeq):
        return [_item(value, index, path, lines, file) for index in range(len(value))]
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, int):
        return WrittenInt.at(int(value), path)
    _must_print(str(value), path, lines.get(path), file)
    return Written.at(str(value), path)


def _commas(value: Any, path: str, rows: list[str]) -> Iterator[Problem]:
    """Decimal commas in brackets: `{mass: 260,5 kg}` is read as a mass of 260 and a name '5 kg' without a value."""
    if isinstance(value, CommentedSeq):
        for index, item in enumerate(value):
            yield from _commas(item, f"{path}.{index}", rows)
    if not isinstance(value, CommentedMap):
        return
    before, start = "", ""
    for key, inner in value.items():
        child = f"{path}.{key}" if path else str(key)
        if inner is None and is_behind_comma(str(key)) and _WHOLE_AT_END.search(start):
            what = f"'{start},{key}' has a comma, and inside brackets a comma ends the value"
            mend = f"write the decimal point as '.': {start}.{key}"
            yield Problem(what, "one number with its unit", mend, before, _line_of_key(value, key))
        yield from _commas(inner, child, rows)
        before, start = child, _typed(value, key, rows)


def _typed(value: CommentedMap, key: Any, rows: list[str]) -> str:
    """What was typed behind a name, up to the next comma; a number would have lost its sign or its zeros."""
    try:
        line, column = value.lc.value(key)
        return rows[line][column:].partition(",")[0].strip()
    except (KeyError, TypeError, IndexError):
        return ""


def _must_print(text: str, path: str, line: int | None, file: str) -> None:
    """Escapes such as "\\e" make characters that would steer a terminal, or that cannot be written down at all."""
    problem = odd_character(text)
    if problem:
        raise BuildError(replace(problem, path=path, line=line, file=file))


def _pairs(value: CommentedMap, path: str, lines: dict[str, int], file: str) -> Iterator[tuple[str, Any]]:
    for key in value:
        line = _line_of_key(value, key)
        if not isinstance(key, str) or not key.strip() or len(key) > LONGEST_NAME:
            what, allowed = f"'{str(key)[:40]}' is not a name", f"names in letters, up to {LONGEST_NAME} characters"
            raise BuildError(
                Problem(what, allowed, "write the name as the reference of the build file has it", path, line, file)
            )
        child = f"{path}.{key}" if path else key
        _must_print(key, path, line, file)
        lines[child] = line
        yield str(key), _plain(value[key], child, lines, file)


def _line_of_key(value: CommentedMap, key: Any) -> int:
    try:
        return value.lc.key(key)[0] + 1
    except (KeyError, TypeError):  # an odd key, which is refused next
        return value.lc.line + 1


def _item(value: CommentedSeq, index: int, path: str, lines: dict[str, int], file: str) -> Any:
    child = f"{path}.{index}"
    with contextlib.suppress(KeyError, TypeError, IndexError):
        lines[child] = value.lc.item(index)[0] + 1
    return _plain(value[index], child, lines, file)


def write_whole(path: Path, content: bytes) -> None:
    """Write a file whole or not at all; a file that is there keeps its rights. Raises OutputError."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.")
    except (OSError, ValueError) as cause:
        raise OutputError(_unwritable(path, cause)) from None
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        Path(temporary).chmod(path.stat().st_mode & 0o777 if path.exists() else 0o644)
        Path(temporary).replace(path)
    except OSError as cause:
        raise OutputError(_unwritable(path, cause)) from None
    finally:
        Path(temporary).unlink(missing_ok=True)


def _unwritable(path: Path, cause: Exception) -> Problem:
    words = getattr(cause, "strerror", None) or str(cause)
    allowed, mend = "a file in a folder of yours", "choose a folder where you may write, with room left"
    return Problem(f"{path} cannot be written: {words}", allowed, mend)
