"""Pages without a script: signing in, and what is said instead of a page."""

from __future__ import annotations

from functools import cache
from html import escape
from importlib.resources import files

from fastapi.responses import HTMLResponse

from voltwright.web.words import t

_WHOLE = """<!doctype html>
<html lang="en-GB"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title} - Voltwright</title><style>{look}</style></head>
<body class="plain"><main><p class="house" translate="no">Voltwright</p><h1>{title}</h1>{inside}</main></body></html>"""


@cache
def look() -> str:
    """The style sheet of all pages."""
    return (files("voltwright.web") / "look.css").read_text(encoding="utf-8")


def plain_page(title: str, inside: str, status: int = 200) -> HTMLResponse:
    """A page; `inside` is HTML in which texts of others are escaped already."""
    return HTMLResponse(_WHOLE.format(title=escape(title), look=look(), inside=inside), status)


def said(title: str, text: str, status: int, *, from_the_shop: bool = False) -> HTMLResponse:
    """A page with one sentence, and the way back; what the pages did not say themselves is in no catalogue."""
    mark = ' translate="no"' if from_the_shop else ""
    back = f'<p><a href="/">{t("To the cars")}</a></p>'
    return plain_page(title, f"<p{mark}>{escape(text)}</p>{back}", status)
