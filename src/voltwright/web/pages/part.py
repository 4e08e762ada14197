"""A part of a page that is drawn anew only where it must be."""

from __future__ import annotations

from collections.abc import Callable

from voltwright.web.pages.frame import Tag


class Part:
    """A part of a page that is drawn anew only where what it shows has changed: little is sent, and nothing jumps."""

    def __init__(self, draw: Callable[..., None], tag: str = "div", classes: str = "") -> None:
        self._draw, self._place = draw, Tag(tag, classes=classes)
        self._shown: tuple[object, ...] | None = None

    def show(self, *what: object) -> None:
        """Draw this."""
        if what != self._shown:
            self._shown = what
            self._place.clear()
            with self._place:
                self._draw(*what)
