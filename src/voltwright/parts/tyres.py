"""Tyre markings old and new: what `165/80R14 85S`, `165 R 14`, `165 HR 400`, `5.60-13` and `6.40/7.00-13` say.

A rim of two digits is in inches, one of three in millimetres. Of two widths, and of a load for single and for twin tyres,
the first counts.
"""

from __future__ import annotations

import functools
import json
import re
from dataclasses import dataclass
from importlib.resources import files

from voltwright.quantity.errors import Problem, QuantityError
from voltwright.quantity.provenance import Origin
from voltwright.quantity.source import Source
from voltwright.quantity.work import Node, leaf

INCH = 0.0254

# What the height of the section is to its width where the marking does not say: conventions, from memory.
_ASPECT_METRIC_RADIAL = 0.82
_ASPECT_INCH_CROSS_PLY = 0.95
_ASPECT_INCH_BALLOON = 1.0  # widths of whole, half and quarter inches on rims of 15 inches and more

_INDEX = r"(?:\s+(?P<index>\d{2,3})(?:\s*/\s*\d{2,3})?\s*(?P<speed>[A-Z]))?"
_TAIL = rf"(?:\s*C)?(?:\s*(?P<plies>\d{{1,2}})\s*PR)?{_INDEX}"
_METRIC = re.compile(
    r"(?:P|LT)?\s*(?P<width>\d{3})(?:\s*/\s*(?P<aspect>\d{2}))?\s*(?P<symbol>[SHV]?)\s*(?P<build>R|-|D|x|×)\s*"
    rf"(?P<rim>[3-5]\d[05]|\d{{2}}(?:\.5)?){_TAIL}"
)
_INCH = re.compile(
    r"(?P<width>\d{1,2}\.\d{1,2})(?:\s*/\s*\d{1,2}\.\d{1,2})?\s*(?P<symbol>[SHV]?)\s*(?P<build>-|R|x|×|/)\s*"
    rf"(?P<rim>\d{{2}}){_TAIL}"
)


@dataclass(frozen=True)
class TyreMarking:
    """Width, height of the section and rim in metres; load in kg for one tyre and speed in m/s where the marking says them."""

    text: str
    width: float
    aspect: float
    aspect_is_marked: bool
    rim: float
    radial: bool
    load_index: int | None = None
    speed_symbol: str = ""

    def with_index(self, index: int) -> str:
        """The same marking with another load index."""
        return re.sub(rf"\b{self.load_index}(?=\s*(/\s*\d+)?\s*[A-Z]?$)", str(index), self.text)

    def with_symbol(self, letter: str) -> str:
        """The same marking with another speed symbol behind its load index."""
        return re.sub(r"[A-Za-z]$", letter, self.text)

    @property
    def diameter(self) -> float:
        """Free diameter. [m]"""
        return self.rim + 2.0 * self.width * self.aspect

    @property
    def load(self) -> float | None:
        """What one tyre carries. [kg]"""
        return None if self.load_index is None else _table("load_index_kg")[str(self.load_index)].value

    @property
    def speed(self) -> float | None:
        """The speed for which it is marked. [m/s]"""
        return _table("speed_symbol_km_h")[self.speed_symbol].value / 3.6 if self.speed_symbol else None

    def load_node(self, label: str) -> Node:
        """The load rating as a leaf of a working, with the source of its row."""
        source = _table("load_index_kg")[str(self.load_index)].source
        origin = Origin("entered", where=f"load index {self.load_index} in '{self.text}'", source=source)
        return leaf(self.load, "kg", label, origin)


@dataclass(frozen=True)
class _Row:
    """What an index or a letter stands for, and who says so."""

    value: float
    source: Source


@functools.cache
def _table(name: str) -> dict[str, _Row]:
    """Rows of `load_index_kg` or `speed_symbol_km_h`, in order; each keeps the source of its part of the table."""
    raw = json.loads(files("voltwright.parts").joinpath("standards/tyres.json").read_text(encoding="utf-8"))
    rows = {
        key: _Row(float(value), Source(part["source"])) for part in raw["tables"] for key, value in part[name].items()
    }
    return dict(sorted(rows.items(), key=lambda row: row[1].value))


def marking_or_none(text: str) -> TyreMarking | None:
    """What stands on a side wall, or None where it is no marking: size and load index are then not known."""
    try:
        return read_marking(text)
    except QuantityError:
        return None


def read_marking(text: str) -> TyreMarking:
    """Read what stands on a side wall. Raises QuantityError where it is no marking."""
    cleaned = text.strip().upper().replace("X", "x")
    metric = _METRIC.fullmatch(cleaned)
    match = metric or _INCH.fullmatch(cleaned)
    if match is None:
        raise QuantityError(
            Problem(
                f"'{text[:40]}' is not a tyre marking",
                allowed="'165/80R14 85S', '165 R 14', '165 HR 400', '5.60-13' or '6.40/7.00-13'",
                mend="copy it from the side wall, with load index and speed symbol, or enter the load of one tyre",
            )
        )
    aspect, marked = _aspect(match, metric is not None)
    width = float(match["width"]) / 1000 if metric else float(match["width"]) * INCH
    return TyreMarking(
        text.strip(),
        width,
        aspect,
        marked,
        float(match["rim"]) * INCH if float(match["rim"]) < 100 else float(match["rim"]) / 1000,
        match["build"] == "R",
        _index(match["index"], text),
        _symbol(match["speed"] or match["symbol"] or "", text),
    )


def _aspect(match: re.Match[str], metric: bool) -> tuple[float, bool]:
    marked = match.groupdict().get("aspect")
    if marked:
        return int(marked) / 100, True
    if metric:
        return _ASPECT_METRIC_RADIAL, False
    balloon = match["width"].split(".")[1].ljust(2, "0") in ("00", "25", "50") and int(match["rim"]) >= 15
    return (_ASPECT_INCH_BALLOON if balloon else _ASPECT_INCH_CROSS_PLY), False


def _index(text: str | None, marking: str) -> int | None:
    if text is None:
        return None
    known = _table("load_index_kg")
    if text not in known:
        raise QuantityError(
            Problem(
                f"'{marking[:40]}' has the load index {text}",
                allowed=f"{min(map(int, known))} to {max(map(int, known))}",
                mend="copy it from the side wall once more, or leave index and letter out and enter the load of one tyre",
            )
        )
    return int(text)


def _symbol(letter: str, marking: str) -> str:
    known = _table("speed_symbol_km_h")
    if letter and letter not in known:
        what = f"'{marking[:40]}' has the speed symbol {letter}"
        raise QuantityError(Problem(what, allowed=", ".join(known), mend="copy it from the side wall once more"))
    return letter


def index_for(load: float) -> int | None:
    """The smallest load index whose tyre carries `load` kg, or None beyond the table."""
    return next((int(index) for index, row in _table("load_index_kg").items() if row.value >= load), None)


def indices_above(index: int) -> tuple[int, ...]:
    """The load indices of tyres that carry more, the next one first."""
    return tuple(sorted(int(each) for each in _table("load_index_kg") if int(each) > index))


def symbols_above(letter: str) -> tuple[str, ...]:
    """The speed symbols of faster tyres, the next one first."""
    known = list(_table("speed_symbol_km_h"))
    return tuple(known[known.index(letter) + 1 :])


def symbol_for(speed: float) -> str | None:
    """The speed symbol of the slowest tyre that bears `speed` m/s, or None beyond the table."""
    asked = speed * 3.6 * (1 - 1e-9)  # rounding alone asks for no faster one
    return next((letter for letter, row in _table("speed_symbol_km_h").items() if row.value >= asked), None)
