"""What a limit rests on, and how far its text was seen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Ground = Literal["read", "copy", "memory", "practice", "maker", "arithmetic"]

HOW_SEEN: dict[Ground, str] = {
    "read": "read in the text itself",
    "copy": "read in a copy that somebody else made",
    "memory": "from memory; read the text before you rely on it",
    "practice": "common practice, no source",
    "maker": "what the maker of the car or of the part states",
    "arithmetic": "follows from the numbers of the build",
}


@dataclass(frozen=True)
class Clause:
    """A clause of a standard or a law, a maker's limit, a custom of the trade, or plain arithmetic."""

    text: str
    ground: Ground

    @property
    def how_seen(self) -> str:
        return HOW_SEEN[self.ground]

    def __str__(self) -> str:
        if self.ground in ("maker", "arithmetic"):
            return self.text
        return f"{self.text} ({self.how_seen})" if self.text else self.how_seen


def read(text: str) -> Clause:
    """A text that was read itself."""
    return Clause(text, "read")


def copied(text: str) -> Clause:
    """A text that was read in a copy."""
    return Clause(text, "copy")


def from_memory(text: str) -> Clause:
    """A text that was not at hand."""
    return Clause(text, "memory")


def practice(text: str = "") -> Clause:
    """What the trade does, without a published source."""
    return Clause(text, "practice")


def maker(text: str) -> Clause:
    """A limit of the part's or the car's maker."""
    return Clause(text, "maker")


def arithmetic(text: str) -> Clause:
    """A limit that follows from the numbers."""
    return Clause(text, "arithmetic")


PLATE = maker("the limit on the donor's plate or papers")
