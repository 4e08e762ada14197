"""Where facts come from: a source that the references file does not hold does not load."""

from __future__ import annotations

import difflib
import functools
import json
from dataclasses import dataclass
from importlib.resources import files

from voltwright.quantity.errors import Problem, SourceError


@dataclass(frozen=True)
class Reference:
    """One entry of references.json; `seen` says how far the text was read."""

    key: str
    authors: str
    title: str
    where: str
    seen: str
    year: int | None = None

    def __str__(self) -> str:
        year = f" ({self.year})" if self.year else ""
        head = f"{self.authors}{year}: " if self.authors else ""
        return f"{head}{self.title}{', ' + self.where if self.where else ''} [{self.seen}]"


@functools.cache
def references() -> dict[str, Reference]:
    """All references by key."""
    raw = json.loads(files("voltwright.quantity").joinpath("references.json").read_text(encoding="utf-8"))
    return {key: Reference(key=key, **entry) for key, entry in raw.items()}


def reference(key: str) -> Reference:
    """The reference of that key. Raises SourceError for an unknown one."""
    known = references()
    if key not in known:
        near = difflib.get_close_matches(key, known, n=1)
        raise SourceError(
            Problem(
                f"the source '{key}' is not in the references",
                mend=f"write {near[0]}" if near else "add it to references.json",
            )
        )
    return known[key]


@dataclass(frozen=True)
class Source:
    """A reference, and the place in it."""

    key: str
    place: str = ""

    def __post_init__(self) -> None:
        reference(self.key)

    def __str__(self) -> str:
        ref = reference(self.key)
        return f"{ref}{'; ' + self.place if self.place else ''}"

    @property
    def short(self) -> str:
        ref = reference(self.key)
        name = f"{ref.authors} {ref.year}" if ref.authors and ref.year else ref.title
        return f"{name}, {self.place}" if self.place else name
