"""What is told where something is not saved: what is wrong with it, or that somebody else saved first."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterable
from typing import Protocol

from voltwright.quantity.errors import ConflictError, Problem
from voltwright.web.pages.frame import DATA, Tag, Told
from voltwright.web.words import t


class Beside(Protocol):
    """Where it is said what is wrong with what was typed."""

    def complain(self, problems: Iterable[Problem]) -> list[str]:
        """What has no place here is handed back."""
        ...


def tell_conflict(
    told: Told, error: ConflictError, first: str, newer: Iterable[str], on_top: Callable[[], Awaitable[None]] | None
) -> None:
    """Both are shown, nothing is lost, and one's own is saved after all where its writer wants it.

    `first` says what is on the page now, `newer` what each of the others saved.
    """
    told.complain(first)
    with told.more():
        for text in newer:
            Tag("p", text, **DATA)
        for head, text in ((t("What they changed"), error.theirs), (t("What you sent"), error.yours)):
            if text:
                Tag("h3", head)
                Tag("div", text, "difference", **DATA)
        if error.yours and on_top is not None:
            Tag("button", t("Save mine on top of it"), type_="button").on("click", on_top)
