"""Writes docs/reference/parts.md from the schemas of the parts; `--check` only says whether the page is up to date."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from voltwright.parts.base import Part
from voltwright.parts.field_words import words_of
from voltwright.parts.fields import bare, expected, is_list, own_fields, table_of
from voltwright.parts.kinds import KINDS, PROTECTIVE

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "parts.md"

HEAD = """\
# Parts and their fields

Each part has one datasheet in this form, in the shipped catalogue and in the workshop's own folder `parts` alike.
Every quantity is written with its unit; other units of the same kind are read too. The shipped parts are invented:
their values are typical of the trade and belong to no maker. This page is made by `tools/make_parts_page.py`.

A quantity may also be written with how it is known, such as `{value: 46 Ah, how: measured, note: bench test}`.
Tables are lists of the same length under the names of their columns; a resistance table has a row for each charge.
"""


def written_as(info: FieldInfo) -> str:
    """Unit, choices or columns of a field."""
    quantity, columns, kind = expected(info), table_of(info), bare(info)[0]
    if quantity:
        return {"1": "plain number", "currency": "money"}.get(quantity.unit, quantity.unit)
    if columns:
        return "table of " + ", ".join(f"`{column}`" for column in columns.model_fields)
    if is_list(info):
        item = get_args(kind)[0]
        return "list of " + ", ".join(f"`{each}`" for each in get_args(item)) if _is_choice(item) else "list of numbers"
    if _is_choice(kind):
        return " or ".join(f"`{each}`" for each in get_args(kind))
    plain = {bool: "`true` or `false`", int: "whole number", float: "number", str: "text"}
    return plain.get(kind, "mapping")


def _is_choice(kind: object) -> bool:
    return get_origin(kind) is Literal


def rows(kind: str, fields: dict[str, FieldInfo]) -> list[str]:
    table = ["| field | written as | needed | meaning |", "| --- | --- | --- | --- |"]
    for name, info in fields.items():
        table.append(f"| `{name}` | {written_as(info)} | {needed(info)} | {words_of(kind, name).means} |")
    return table


def needed(info: FieldInfo) -> str:
    """Whether a field must be there, or what it is where it is left out."""
    if info.is_required():
        return "yes"
    default = str(info.default).lower() if isinstance(info.default, bool) else info.default
    return f"else `{default}`" if default else ""


def page() -> str:
    """The whole page."""
    every = {name: info for name, info in Part.model_fields.items() if name not in ("mass", "kind")}
    lines = [HEAD, "## Every part", "", *rows("part", every), ""]
    for kind, schema in KINDS.items():
        fields = own_fields(schema)
        words = (schema.__doc__ or "").strip().splitlines()[0]
        lines += [f"## {kind}", "", words, ""]
        if kind in PROTECTIVE:
            lines += ["It protects people: an invented or estimated rating marks every paper NOT FOR BUILDING.", ""]
        lines += [*rows(kind, {"mass": schema.model_fields["mass"], **fields}), ""]
    return "\n".join(lines).rstrip() + "\n"


def main() -> int:
    made = page()
    if "--check" in sys.argv[1:]:
        current = PAGE.exists() and PAGE.read_text(encoding="utf-8") == made
        print("docs/reference/parts.md is up to date" if current else "run tools/make_parts_page.py")
        return 0 if current else 1
    PAGE.parent.mkdir(parents=True, exist_ok=True)
    PAGE.write_text(made, encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
