"""Imports a maker's datasheet from YAML, JSON or CSV, says all that is missing or wrong at once, and stores it."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path, PurePath
from typing import Any

from pydantic.fields import FieldInfo

from voltwright.parts.base import Part
from voltwright.parts.battery import Cell, Module
from voltwright.parts.fields import expected, is_list, table_of
from voltwright.parts.kinds import kind_of
from voltwright.parts.shelf import Shelf, catalogue, make_part
from voltwright.parts.unlocks import unlocks
from voltwright.quantity.document import odd_character, parse, read_text, text_in, write_whole
from voltwright.quantity.errors import BuildError, OutputError, PartError, Problem

_HEADS = ("field", "value", "source", "grade")
_MOST_ROWS = 1000


@dataclass(frozen=True)
class Datasheet:
    """The raw datasheet, the part if it is whole, all that is wrong, and what empty fields would unlock."""

    raw: dict[str, Any]
    part: Part | None
    problems: tuple[Problem, ...]
    unlocks: tuple[str, ...]


@dataclass
class _Sheet:
    """Fields as they are written, and the line of each."""

    file: str
    raw: dict[str, Any]
    lines: dict[str, int]
    problems: list[Problem]

    def line_of(self, path: str) -> int | None:
        while path and path not in self.lines:
            path = path.rpartition(".")[0]
        return self.lines.get(path)


def read_datasheet(path: Path, shelf: Shelf | None = None) -> Datasheet:
    """Read one datasheet; a module's cell must stand on `shelf` (as it comes, the catalogue).

    Raises PartError only where the file itself cannot be read; what is wrong inside is listed in `problems`.
    """
    reader = _reader(path.name)
    return _checked(reader(read_text(path, error=PartError), path.name), shelf or catalogue())


def datasheet_in(name: str, content: bytes, shelf: Shelf | None = None) -> Datasheet:
    """The same of a file that somebody hands over: its name, which leads nowhere, and its content."""
    reader = _reader(name)
    return _checked(reader(text_in(name, content, error=PartError), name), shelf or catalogue())


def _reader(name: str) -> Callable[[str, str], _Sheet]:
    """By the ending of a file; JSON is read as the YAML that it also is (YAML 1.2, section 1.3; from memory)."""
    readers = {".yaml": _from_yaml, ".yml": _from_yaml, ".json": _from_yaml, ".csv": _from_csv}
    ending = PurePath(name).suffix.lower()
    if ending not in readers:
        raise PartError(Problem(f"{name} is neither YAML, JSON nor CSV", allowed=", ".join(readers), file=name))
    return readers[ending]


def datasheet_of(raw: Mapping[str, Any], shelf: Shelf | None = None) -> Datasheet:
    """The same of fields that come from nowhere but a form."""
    return _checked(_Sheet("", dict(raw), {}, []), shelf or catalogue())


def _checked(sheet: _Sheet, shelf: Shelf) -> Datasheet:
    sheet.raw.setdefault("grade", "datasheet")
    part = None
    try:
        part = make_part(sheet.raw)
    except PartError as error:
        sheet.problems += [_placed(each, sheet) for each in error.problems]
    sheet.problems += _missing_cell(sheet, shelf)
    if part is None or sheet.problems:
        return Datasheet(sheet.raw, None, tuple(sheet.problems), ())
    return Datasheet(_canonical(sheet.raw, part), part, (), unlocks(part))


def canonical(raw: Mapping[str, Any]) -> dict[str, Any]:
    """A datasheet as it is stored. Raises PartError where it is not whole."""
    return _canonical(raw, make_part(raw))


def store(raw: Mapping[str, Any], folder: Path, *, overwrite: bool = False) -> Path:
    """Write a datasheet into the workshop's folder of parts. Raises PartError where it is not whole.

    An id holds one slash and no other sign of a path, so the file cannot land elsewhere.
    """
    part = make_part(raw)
    path = folder / f"{part.id.replace('/', '--')}.json"
    if path.exists() and not overwrite:
        raise OutputError(
            Problem(f"{path.name} is there already", mend="give the part another id, or import it with --overwrite")
        )
    text = json.dumps(_canonical(raw, part), indent=2, ensure_ascii=False, allow_nan=False)
    write_whole(path, (text + "\n").encode())
    return path


def _canonical(raw: Mapping[str, Any], part: Part) -> dict[str, Any]:
    """The datasheet in the order of the schema, the same from every format; quantities stay as they were written."""
    plain = part.model_dump(mode="json", exclude_unset=True)
    for field, info in type(part).model_fields.items():
        if expected(info) and isinstance(raw.get(field), Mapping):
            plain[field] = {str(key): str(value) for key, value in raw[field].items()}
    return {"id": plain.pop("id"), "kind": part.kind} | {key: value for key, value in plain.items() if key != "kind"}


def _missing_cell(sheet: _Sheet, shelf: Shelf) -> list[Problem]:
    """A module's cell that is not on the shelf."""
    cell = sheet.raw.get("cell")
    if kind_of(sheet.raw) is not Module or not isinstance(cell, str):
        return []
    try:
        shelf.take(cell, Cell)
    except PartError as error:
        return [_placed(replace(each, path="cell"), sheet) for each in error.problems]
    return []


def _placed(problem: Problem, sheet: _Sheet) -> Problem:
    path = problem.path.rpartition(": ")[2]
    return replace(problem, path=path, file=sheet.file, line=sheet.line_of(path))


def _from_yaml(text: str, file: str) -> _Sheet:
    try:
        document = parse(text, file)
    except BuildError as error:
        raise PartError(error.problems) from None
    return _Sheet(file, document.root, document.lines, [])


def _from_csv(text: str, file: str) -> _Sheet:
    """Rows of field, value and, where they differ from the whole sheet's, source and grade."""
    sheet = _Sheet(file, {}, {}, [])
    rows = _rows(text, file)
    heads = tuple(cell.strip().lower() for cell in rows[0][1])
    if heads[:2] != _HEADS[:2] or heads != _HEADS[: len(heads)]:
        allowed = "field,value or field,value,source,grade"
        raise PartError(Problem("the first line does not name the columns", allowed, file=file, line=rows[0][0]))
    written: dict[str, str] = {}
    notes: dict[str, dict[str, str]] = {}
    for line, row in rows[1:]:
        cells = [cell.strip() for cell in row]
        field, value, *note = cells + [""] * (2 - len(cells))
        problem = _odd_row(field, len(cells), len(heads), field in written)
        if problem:
            sheet.problems.append(replace(problem, path=field[:80], file=file, line=line))
            continue
        written[field], sheet.lines[field] = value, line
        sheet.lines.setdefault(field.partition(".")[0], line)
        if any(note):
            notes.setdefault(field.partition(".")[0], {}).update(zip(_HEADS[2:], note, strict=False))
    _fill(sheet, written, notes)
    return sheet


def _rows(text: str, file: str) -> list[tuple[int, list[str]]]:
    """Rows with something in them, each with its line; the separator is the one of the first line."""
    odd = odd_character(text)
    if odd is not None:
        raise PartError(replace(odd, what=f"{file} is not text: {odd.what}", allowed="a table saved as CSV", file=file))
    first = text.lstrip().partition("\n")[0]
    reader = csv.reader(io.StringIO(text), delimiter=max(",;\t", key=first.count), strict=True)
    rows: list[tuple[int, list[str]]] = []
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                rows.append((reader.line_num, row))
    except csv.Error as cause:
        what = f"this is not CSV: {cause}"
        raise PartError(Problem(what, mend="check the quotes", file=file, line=reader.line_num)) from None
    if not rows:
        raise PartError(Problem(f"{file} is empty", mend="write the first line field,value", file=file))
    if len(rows) > _MOST_ROWS:
        raise PartError(
            Problem(f"{file} has more than {_MOST_ROWS} rows", allowed="the datasheet of one part", file=file)
        )
    return rows


def _odd_row(field: str, cells: int, heads: int, known: bool) -> Problem | None:
    if not field:
        return Problem("this row names no field", mend="write the field in the first column")
    if cells > heads:
        return Problem(
            f"this row has {cells} cells for {heads} columns", mend='put a value that holds the separator in "quotes"'
        )
    return Problem("this field stands here twice", mend="keep one of the two") if known else None


def _fill(sheet: _Sheet, written: dict[str, str], notes: dict[str, dict[str, str]]) -> None:
    """Rows into a datasheet: empty values are left out, table columns are gathered, lists are split."""
    kind = kind_of(written) or Part
    for path, text in written.items():
        field, _, column = path.partition(".")
        info = kind.model_fields.get(field)
        columns = table_of(info) if info else None
        if not text:
            continue
        if not column:
            sheet.raw[field] = _split(text, info)
        elif isinstance(sheet.raw.setdefault(field, {}), dict):
            sheet.raw[field][column] = _split(text, columns.model_fields.get(column) if columns else None)
        else:
            sheet.problems.append(
                Problem(
                    f"{field} is one value, and {path} is a column of a table",
                    mend="keep one of the two",
                    path=path,
                    file=sheet.file,
                    line=sheet.line_of(path),
                )
            )
    whole = {"source": sheet.raw.get("source", ""), "grade": sheet.raw.get("grade", "datasheet")}
    fields = {name: whole | {key: value for key, value in note.items() if value} for name, note in notes.items()}
    if fields:
        sheet.raw["fields"] = fields


def _split(text: str, info: FieldInfo | None) -> Any:
    """A list where the field is one, parted by spaces or semicolons; in a table of rows, semicolons part the rows."""
    if info is None or not is_list(info):
        return text
    if "tuple" in str(info.annotation).partition("tuple")[2]:
        return [row.split() for row in text.split(";")]
    return text.replace(";", " ").split()
