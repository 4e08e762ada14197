"""Our own part of what runs in the browser: it is there before anybody can type."""

from __future__ import annotations

import functools
import hashlib
from importlib.resources import files

from fastapi.responses import Response

ADDRESS = "/pages.js"


@functools.cache
def script() -> str:
    """The text of pages.js."""
    return (files("voltwright.web.pages") / "pages.js").read_text(encoding="utf-8")


def tag() -> str:
    """What brings it into the head of a page; under another address where it is another."""
    return f'<script src="{ADDRESS}?{hashlib.sha256(script().encode()).hexdigest()[:16]}"></script>'


def served() -> Response:
    """The answer at its address."""
    return Response(script(), media_type="text/javascript")
