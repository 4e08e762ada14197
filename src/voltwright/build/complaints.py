"""What the schema refuses, in the workshop's words: where, what, what is allowed, how to mend it."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from itertools import islice
from typing import Any, get_args

from voltwright.build.paths import KEY, Spot, spot_at
from voltwright.quantity.document import Document
from voltwright.quantity.errors import Problem, QuantityError
from voltwright.quantity.grammar import is_behind_comma
from voltwright.quantity.refused import SAID, shown

MOST = 50  # as many as anybody mends before reading the file again


def problems_of(errors: Iterable[Any], document: Document) -> list[Problem]:
    """Every complaint of the schema, as far as anybody reads."""
    return [_problem(error, document) for error in islice(errors, MOST)]


def _problem(error: dict[str, Any], document: Document) -> Problem:
    loc = tuple(error["loc"])
    path = ".".join(str(part) for part in (*loc, *_below(error)) if part != KEY)
    here = spot_at(loc)
    what, allowed, mend = _words(error, loc, here)
    return Problem(what, allowed or (here.words if here else ""), mend, path, document.line_of(path), document.file)


def _below(error: dict[str, Any]) -> tuple[str, ...]:
    """The rest of the path, where a check of a whole section names one value in it."""
    cause = error.get("ctx", {}).get("error")
    return (cause.problems[0].path,) if isinstance(cause, QuantityError) and cause.problems[0].path else ()


def _words(error: dict[str, Any], loc: tuple[Any, ...], here: Spot | None) -> tuple[str, str, str]:
    kind, cause = error["type"], error.get("ctx", {}).get("error")
    if isinstance(cause, QuantityError):
        first = cause.problems[0]
        return first.what, first.allowed, first.mend or "write what is allowed here"
    if kind == "extra_forbidden":
        return _unknown(str(loc[-1]), spot_at(loc[:-1]))
    if kind == "missing":
        return "this is missing", "", f"add '{loc[-1]}: ...'"
    what, mend = SAID.get(kind, (f"{{}}: {error['msg']}", "write what is allowed here"))
    value = error.get("input")
    if kind == "literal_error" and here is not None:
        mend = f"write {_nearest(value, [str(each) for each in get_args(here.kind)])}"
    if kind == "string_pattern_mismatch":
        mend = _respelled(str(value), here) or mend
    return what.format(shown(value)), "", mend


def _unknown(name: str, around: Spot | None) -> tuple[str, str, str]:
    known = around.names if around else []
    if is_behind_comma(name):
        mend = "if a decimal comma was meant, write the decimal point as '.': inside brackets a comma ends the value"
        return f"'{name[:40]}' stands here as a name", ", ".join(known), mend
    near = difflib.get_close_matches(name, known, n=2, cutoff=0.5)
    mend = f"write {' or '.join(near)}" if near else "take it out, or see the reference of the build file"
    return f"'{name[:40]}' is not known here", ", ".join(known), mend


def _nearest(value: Any, words: list[str]) -> str:
    near = difflib.get_close_matches(str(value)[:40].lower(), words, n=1)
    return near[0] if near else " or ".join(words)


def _respelled(text: str, here: Spot | None) -> str:
    """The same in small letters with hyphens, where that is what is asked."""
    pattern = here.bound("pattern") if here else None
    for spelled in (re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-"), text.upper().strip()):
        if pattern and re.fullmatch(pattern, spelled):
            return f"write {spelled}"
    return ""
