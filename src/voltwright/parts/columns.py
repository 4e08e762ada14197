"""Reads columns of numbers from a CSV file that a logger or a spreadsheet wrote; every refusal says where and how to mend it."""

from __future__ import annotations

import csv
import difflib
import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from voltwright.quantity.errors import BuildError, FileError, Problem

MOST_ROWS = 200_000
MOST_BYTES = 12_000_000
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,2})?")


@dataclass(frozen=True)
class Column:
    """One column: the range in which its numbers must lie; `words` stands in place of numbers where not empty."""

    name: str
    least: float = -math.inf
    most: float = math.inf
    optional: bool = False
    words: tuple[str, ...] = ()

    @property
    def allowed(self) -> str:
        if self.words:
            return " or ".join(self.words)
        return f"a number from {self.least:g} to {self.most:g}, with a decimal point"


@dataclass(frozen=True)
class Columns:
    """What a file holds: numbers and words by the name of the column, and the line of each row."""

    file: str
    numbers: dict[str, tuple[float, ...]]
    words: dict[str, tuple[str, ...]]
    lines: tuple[int, ...]

    def refuse(self, row: int, what: str, allowed: str, mend: str, path: str = "") -> BuildError:
        """An error that points at a row."""
        return BuildError(Problem(what, allowed, mend, path, self.lines[row], self.file))


@dataclass(frozen=True)
class Held:
    """A file that lies on no disk of its own: its name, which leads nowhere, and its content."""

    name: str
    content: bytes

    @property
    def stem(self) -> str:
        return self.name.rpartition(".")[0] or self.name


def read_columns(path: Path | Held, choose: Callable[[Sequence[str]], Sequence[Column]]) -> Columns:
    """The columns of a file; `choose` names those that may stand there, from the head that does stand there.

    Raises FileError where the file cannot be read and BuildError for what is wrong inside.
    """
    rows = list(_rows(_text(path), path.name))
    if not rows:
        allowed, mend = "a head such as second,km_per_hour and one row for each moment", "save the table as CSV"
        raise BuildError(Problem("the file is empty", allowed, mend, line=1, file=path.name))
    head = [name.strip().lower() for name in rows[0][1]]
    columns = _known(head, choose(head), path.name, rows[0][0])
    taken = {name: at for at, name in enumerate(head)}
    numbers: dict[str, tuple[float, ...]] = {}
    words: dict[str, tuple[str, ...]] = {}
    for column in columns:
        cells = [(line, _cell(cells, taken[column.name], line, column, path.name, head)) for line, cells in rows[1:]]
        if column.words:
            words[column.name] = tuple(_word(cell, line, column, path.name) for line, cell in cells)
        else:
            numbers[column.name] = tuple(_number(cell, line, column, path.name) for line, cell in cells)
    return Columns(path.name, numbers, words, tuple(line for line, _ in rows[1:]))


def _text(path: Path | Held) -> str:
    allowed = f"a CSV file of up to {MOST_ROWS} rows, written as UTF-8"
    try:
        raw = path.content if isinstance(path, Held) else _beginning(path)
    except (OSError, ValueError) as cause:
        words = getattr(cause, "strerror", None) or str(cause)
        mend = "name the CSV file itself, and check its name and folder"
        raise FileError(Problem(f"{path} cannot be read: {words}", allowed, mend, file=path.name)) from None
    if raw.count(b"\n") > MOST_ROWS + 1 or len(raw) > MOST_BYTES:
        what = f"the file holds more than {MOST_ROWS} rows, or more than {MOST_BYTES // 1_000_000} MB"
        mend = "cut it into single trips, or keep one row for each second"
        raise BuildError(Problem(what, allowed, mend, file=path.name))
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as cause:
        line = raw[: cause.start].count(b"\n") + 1
        what, mend = "a character is not written as UTF-8", "save it as CSV in UTF-8"
        raise FileError(Problem(what, allowed, mend, file=path.name, line=line)) from None


def _beginning(path: Path) -> bytes:
    """As much of a file as may be read, and one byte more."""
    with path.open("rb") as stream:
        return stream.read(MOST_BYTES + 1)


def _rows(text: str, file: str) -> list[tuple[int, list[str]]]:
    """Every row that is not blank, with its line."""
    reader = csv.reader(text.splitlines(), strict=True)
    try:
        return [(reader.line_num, cells) for cells in reader if any(cell.strip() for cell in cells)]
    except csv.Error as cause:
        allowed, mend = "numbers between commas", "save the table as plain CSV"
        raise BuildError(Problem(f"this is not CSV: {cause}", allowed, mend, line=reader.line_num, file=file)) from None


def _known(head: Sequence[str], columns: Sequence[Column], file: str, line: int) -> list[Column]:
    """The columns that stand there, in the order of `columns`."""
    names = [column.name for column in columns]
    needed = ",".join(column.name for column in columns if not column.optional)
    if len(head) == 1 and ";" in head[0]:
        what, mend = "the columns are parted by semicolons", "save it with commas between and points in the numbers"
        raise BuildError(Problem(what, f"a head such as {needed}", mend, line=line, file=file))
    for at, name in enumerate(head):
        near = difflib.get_close_matches(name, names, n=1)
        if name not in names or name in head[:at]:
            what = f"the column '{name[:40]}' " + ("stands there twice" if name in names else "is not known here")
            mend = f"write {near[0]}" if near and near[0] not in head else "take the column out"
            raise BuildError(Problem(what, ", ".join(names), mend, line=line, file=file))
    for column in columns:
        if not column.optional and column.name not in head:
            what, mend = f"the column '{column.name}' is missing", f"begin with a line {needed}"
            raise BuildError(Problem(what, ", ".join(names), mend, line=line, file=file))
    return [column for column in columns if column.name in head]


def _cell(cells: Sequence[str], at: int, line: int, column: Column, file: str, head: Sequence[str]) -> str:
    if len(cells) != len(head):
        what, allowed = f"this row holds {len(cells)} cells", f"{len(head)} cells, as the head has"
        mend = "complete the row, and write decimals with a point"
        raise BuildError(Problem(what, allowed, mend, column.name, line, file))
    return cells[at].strip()


def _word(cell: str, line: int, column: Column, file: str) -> str:
    if cell.lower() not in column.words:
        mend = f"write {' or '.join(column.words)}"
        raise BuildError(
            Problem(f"'{cell[:40]}' is not a word for this", column.allowed, mend, column.name, line, file)
        )
    return cell.lower()


def _number(cell: str, line: int, column: Column, file: str) -> float:
    value = float(cell) if _NUMBER.fullmatch(cell) else math.nan
    if not math.isfinite(value):
        what = f"'{cell[:40]}' is not a number" if cell else "there is no number"
        mend = "write the number that was measured, or take the row out"
        raise BuildError(Problem(what, column.allowed, mend, column.name, line, file))
    if not column.least <= value <= column.most:
        mend = "check the number and its unit"
        raise BuildError(Problem(f"{cell[:40]} is outside what can be", column.allowed, mend, column.name, line, file))
    return value
