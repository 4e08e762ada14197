"""Where a value that nothing computes came from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from voltwright.quantity.source import Source

How = Literal["entered", "measured", "datasheet", "assumed", "by definition"]
Grade = Literal["measured", "datasheet", "estimated", "invented"]


@dataclass(frozen=True)
class Origin:
    """`how` it is known; `where` it stands (a path in the build file, or a part and its field); why, and from which source."""

    how: How
    where: str = ""
    reason: str = ""
    source: Source | None = None
    grade: Grade | None = None

    def __str__(self) -> str:
        words = [self.how if self.grade in (None, self.how) else f"{self.how}, {self.grade}"]
        words += [self.where] if self.where else []
        words += [self.reason] if self.reason else []
        words += [str(self.source.short)] if self.source else []
        return "; ".join(words)
