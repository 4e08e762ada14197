"""What a workshop calls each field of a datasheet, and what it means. The words stand in fields.json."""

from __future__ import annotations

import functools
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib.resources import files


@dataclass(frozen=True)
class PartWords:
    """Of one field: its name, what the value is, as a clause without a full stop, and the words for each value to choose from."""

    label: str
    means: str
    choices: Mapping[str, str] = field(default_factory=dict[str, str])


def words_of(kind: str, path: str) -> PartWords:
    """The words of a field, or of a column of a table behind its name: those of the kind first. Raises LookupError."""
    known, (head, _, column) = field_words(), path.partition(".")
    for each in (f"{kind}.{path}", path, column or head):
        if each in known:
            return known[each]
    raise LookupError(f"nothing is said of '{path}' of a {kind}")


@functools.cache
def field_words() -> Mapping[str, PartWords]:
    """All of them; `kind.field` where the words differ from those of the plain field."""
    raw = json.loads(files("voltwright.parts").joinpath("fields.json").read_text(encoding="utf-8"))
    return {name: PartWords(**said) for name, said in raw.items()}
