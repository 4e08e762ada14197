"""The units that a reader may choose, as links to the same page."""

from __future__ import annotations

from collections.abc import Callable

from voltwright.services.views import System
from voltwright.web.pages.frame import Tag
from voltwright.web.words import t


def units_row(now: System, address: Callable[[System], str]) -> None:
    """The three links, where they are called."""
    named: tuple[tuple[System, str], ...]
    named = (("metric", t("metric")), ("uk", t("imperial (UK)")), ("us", t("US")))
    for system, words in named:
        here = {"aria_current": "true"} if system == now else {}
        Tag("a", words, "unit", href=address(system), **here)
