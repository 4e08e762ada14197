"""Our own part of what runs in the browser."""

from __future__ import annotations

import functools
from importlib.resources import files


@functools.cache
def script() -> str:
    """The text of pages.js."""
    return (files("voltwright.web.pages") / "pages.js").read_text(encoding="utf-8")
