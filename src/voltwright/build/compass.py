"""Where the wind blows from: a point of the compass by name, or degrees clockwise from north."""

from __future__ import annotations

import math
import re
from typing import Annotated, Any

from pydantic import BeforeValidator

from voltwright.build.base import Says
from voltwright.quantity.errors import Problem, QuantityError

_LETTERS = ("n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw")
_POINTS = {each: 22.5 * at for at, each in enumerate(_LETTERS)}
_DEGREES = re.compile(r"(\d{1,3}(?:\.\d{1,9})?) ?(?:°|deg|degrees)?")
_ALLOWED = "north, north-east, north-north-east and so on, or 0° to 360°, clockwise from north: 90° is east"


def degrees_of(text: str) -> float:
    """Degrees clockwise from north. Raises QuantityError."""
    plain = text.strip().lower()
    found = _DEGREES.fullmatch(plain)
    if found and float(found[1]) <= 360.0:
        return float(found[1])
    letters = re.sub(r"north|east|south|west", lambda word: word[0][0], plain)
    known = _POINTS.get(re.sub(r"[- ]", "", letters))
    if known is not None:
        return known
    mend = "write the point of the compass from which it blows, such as south-west, or 225°"
    raise QuantityError(Problem(f"'{text[:40]}' is no point of the compass", _ALLOWED, mend))


def radians_of(text: str) -> float:
    """The same in SI. [rad]"""
    return math.radians(degrees_of(text))


def _is_known(raw: Any) -> Any:
    if isinstance(raw, bool) or not isinstance(raw, (str, int, float)):
        raise QuantityError(Problem("this is no point of the compass", _ALLOWED, "write south-west, or 225°"))
    degrees_of(str(raw))
    return str(raw).strip()


Compass = Annotated[str, BeforeValidator(_is_known), Says(_ALLOWED)]
