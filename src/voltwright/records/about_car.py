"""car.yaml: what the records know of a car beside its builds, written with an export and read strictly with an import."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, cast

from voltwright.quantity.document import Document, odd_character, parse, read_text
from voltwright.quantity.errors import BuildError, Problem, VoltwrightError
from voltwright.quantity.frozen import ReadOnly
from voltwright.records.checks import LONGEST_NAME, name_of, text_of

FILE = "car.yaml"
_KNOWN = ("name", "customer", "away", "names")
_HEAD = "# The car of this folder: 'voltwright records import' reads it and takes in all that lies beside it.\n"


@dataclass(frozen=True)
class AboutCar:
    """`names` are those that builds and files have in the records, by their path in the folder, where the two differ."""

    name: str
    customer: str = ""
    away: bool = False
    names: Mapping[str, str] = field(default_factory=ReadOnly[str, str])


def written(about: AboutCar) -> bytes:
    """The file."""
    lines = [f"name: {_quoted(about.name)}"]
    lines += [f"customer: {_quoted(about.customer)}"] if about.customer else []
    lines += ["away: true"] if about.away else []
    lines += ["names:"] if about.names else []
    for path, name in about.names.items():
        lines += [f"  - file: {_quoted(path)}", f"    name: {_quoted(name)}"]
    return (_HEAD + "\n".join(lines) + "\n").encode()


def _quoted(text: str) -> str:
    """As JSON writes it, which is YAML too; characters that no keyboard makes would not be read again."""
    return json.dumps("".join(each for each in text if not odd_character(each)), ensure_ascii=False)


def read(file: Path) -> AboutCar:
    """Raises FileError or BuildError listing all that is wrong."""
    document = parse(read_text(file), file.name)
    root, problems = document.root, list(_unknown(document, "", document.root, _KNOWN))
    names: dict[str, str] = {}
    try:
        for index, each in enumerate(_list(document, root.get("names", []))):
            spot = f"names.{index}"
            if not isinstance(each, dict):
                raise _wrong(
                    document, spot, "this is not a file with its name", "file and name", "write both below '-'"
                )
            row = cast("dict[str, Any]", each)
            problems += _unknown(document, spot, row, ("file", "name"))
            names[_text(document, f"{spot}.file", row.get("file"))] = _name(document, f"{spot}.name", row.get("name"))
        about = AboutCar(
            _name(document, "name", root.get("name")),
            _checked(document, "customer", _text(document, "customer", root.get("customer", ""))),
            _either(document, "away", root.get("away", False)),
            ReadOnly(names),
        )
    except BuildError as error:
        raise BuildError([*problems, *error.problems]) from None
    if problems:
        raise BuildError(problems)
    return about


def _unknown(document: Document, path: str, found: Mapping[str, Any], known: tuple[str, ...]) -> Iterator[Problem]:
    for each in found:
        if each not in known:
            mend = f"take it out; a build file needs another name than {FILE}"
            where = f"{path}.{each}".strip(".")
            what = f"'{each[:40]}' is not known here"
            yield Problem(what, ", ".join(known), mend, where, document.line_of(where), document.file)


def _wrong(document: Document, path: str, what: str, allowed: str, mend: str) -> BuildError:
    return BuildError(Problem(what, allowed, mend, path, document.line_of(path), document.file))


def _list(document: Document, value: Any) -> list[Any]:
    if not isinstance(value, list):
        raise _wrong(document, "names", "this is no list", "files with their names", "write each below '-'")
    return cast("list[Any]", value)


def _text(document: Document, path: str, value: Any) -> str:
    if not isinstance(value, str):
        what = "this is missing" if value is None else "this is not a text"
        raise _wrong(document, path, what, "a text", 'write it in quotes, such as "Red roadster"')
    return str(value)


def _name(document: Document, path: str, value: Any) -> str:
    return _checked(document, path, _text(document, path, value), name=True)


def _checked(document: Document, path: str, text: str, *, name: bool = False) -> str:
    """The text, if the records can keep it."""
    try:
        return name_of(text, "the name") if name else text_of(text, f"the {path}", LONGEST_NAME)
    except VoltwrightError as error:
        first = error.problems[0]
        raise _wrong(document, path, first.what, first.allowed, first.mend) from None


def _either(document: Document, path: str, value: Any) -> bool:
    if not isinstance(value, bool):
        raise _wrong(document, path, "this is neither true nor false", "true or false", "write true or false")
    return value
