"""Points of a GPX file (topografix.com/GPX/1/0 and 1/1): looked through before it is parsed, so that it can do no harm.

A first pass with the standard parser refuses document types and entities, keeps the line of each point, and leaves points out
where there are more than a drive needs; gpxpy then reads what is left.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from xml.parsers import expat

import numpy as np

from voltwright.parts.columns import Held
from voltwright.quantity.errors import BuildError, FileError, Problem

MOST_BYTES = 12_000_000
MOST_POINTS = 20_000  # that are worked with; of more, every second, third ... is taken
MOST_ELEMENTS = 1_500_000
MOST_DEPTH = 30
MOST_NAMESPACES = 40
FARTHEST_NORTH = 80.0  # °: beyond, the law for the distance no longer holds
_ALLOWED = "a GPX file of up to 12 MB with a track or a route, written as UTF-8"
_NUMBER = re.compile(r"\s*[+-]?(\d{1,9}\.?\d*|\.\d+)([eE][+-]?\d{1,2})?\s*")
_TIME = re.compile(r"\s*\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:?\d\d)?\s*")


@dataclass(frozen=True, eq=False)
class Points:
    """Latitude and longitude [°], height [m] and time [s] of each point, nan where there is none, and its line in the file.

    `count` is how many the file holds, of which every `every`-th was taken.
    """

    file: str
    latitude: Any
    longitude: Any
    height: Any
    time: Any
    line: Any
    count: int
    every: int

    def refuse(self, at: int, what: str, allowed: str, mend: str) -> BuildError:
        """An error that points at a point."""
        return BuildError(Problem(what, allowed, mend, line=int(self.line[at]), file=self.file))


@dataclass
class _Seen:
    """What the first pass finds of the points of one kind: byte and line at which each begins, and where a part begins."""

    begins: list[int] = field(default_factory=list[int])
    lines: list[int] = field(default_factory=list[int])
    parts: list[int] = field(default_factory=list[int])


def read_points(path: Path | Held) -> Points:
    """The points of the tracks of a file, in their order; of its routes where it has no track.

    Raises FileError where it cannot be read and BuildError for what is wrong inside.
    """
    raw = _content(path)
    seen = _Guard(raw, path.name).look()
    which = "trkpt" if seen["trkpt"].begins else "rtept"
    found = seen[which]
    if not found.begins:
        what, mend = (
            "the file holds no point of a track or route",
            "export the drive as a track, not as single waypoints",
        )
        raise BuildError(Problem(what, _ALLOWED, mend, line=1, file=path.name))
    every = -(-len(found.begins) // MOST_POINTS)
    kept = _kept(found, every)
    if len(kept) > 2 * MOST_POINTS:
        what, mend = f"the drive is cut into {len(found.parts)} parts", "export it as one track of one segment"
        raise BuildError(Problem(what, _ALLOWED, mend, line=found.lines[0], file=path.name))
    points = _parsed(_thinned(raw, found, kept), path.name, which)
    if len(points) != len(kept):
        what = f"{len(kept) - len(points)} points stand outside a track or route"
        raise BuildError(
            Problem(what, _ALLOWED, "export the drive anew as GPX 1.1", line=found.lines[0], file=path.name)
        )
    rows = np.array([(p.latitude, p.longitude, _or_nan(p.elevation), _seconds(p.time)) for p in points], dtype=float)
    lines = np.array(found.lines)[kept]
    latitude, longitude, height, time = rows.T
    return Points(path.name, latitude, longitude, height, time, lines, len(found.begins), every)


def _or_nan(value: float | None) -> float:
    return np.nan if value is None else value


def _seconds(time: datetime | None) -> float:
    """Since 1970; a time without a zone is taken as universal time, as the format says. [s]"""
    if time is None:
        return np.nan
    return (time if time.tzinfo else time.replace(tzinfo=UTC)).timestamp()


def _content(path: Path | Held) -> bytes:
    try:
        raw = path.content if isinstance(path, Held) else _beginning(path)
    except (OSError, ValueError) as cause:
        words = getattr(cause, "strerror", None) or str(cause)
        mend = "name the GPX file itself, and check its name and folder"
        raise FileError(Problem(f"{path} cannot be read: {words}", _ALLOWED, mend, file=path.name)) from None
    if len(raw) > MOST_BYTES:
        mend = "cut it into single drives, or keep one point for each second"
        raise BuildError(Problem("the file holds more than 12 MB", _ALLOWED, mend, file=path.name))
    try:
        raw.decode("utf-8-sig")
    except UnicodeDecodeError as cause:
        line = raw[: cause.start].count(b"\n") + 1
        what, mend = "a character is not written as UTF-8", "save it as GPX in UTF-8"
        raise FileError(Problem(what, _ALLOWED, mend, file=path.name, line=line)) from None
    return raw.removeprefix(b"\xef\xbb\xbf")


def _beginning(path: Path) -> bytes:
    """As much of a file as may be read, and one byte more."""
    with path.open("rb") as stream:
        return stream.read(MOST_BYTES + 1)


class _Guard:
    """The first pass: builds nothing, and stops at whatever could do harm or is no number."""

    def __init__(self, raw: bytes, file: str) -> None:
        self._raw, self._file = raw, file
        self._parser = expat.ParserCreate("utf-8")
        self._depth = self._elements = 0
        self._text: list[str] | None = None
        self._seen = {"trkpt": _Seen(), "rtept": _Seen()}

    def look(self) -> dict[str, _Seen]:
        """What is there of each kind of point. Raises BuildError."""
        if self._raw.count(b"xmlns") > MOST_NAMESPACES:
            raise self._refused("the file names more than 40 namespaces", "export the drive anew", line=1)
        parser = self._parser
        parser.buffer_text = True
        parser.StartDoctypeDeclHandler = self._document_type
        parser.EntityDeclHandler = self._document_type
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._characters
        try:
            parser.Parse(self._raw, True)
        except expat.ExpatError as cause:
            said = expat.ErrorString(cause.code)
            what = f"this is not GPX: {said} in column {cause.offset + 1}"
            raise self._refused(what, "export the drive anew as GPX", line=cause.lineno) from None
        return self._seen

    def _refused(self, what: str, mend: str, allowed: str = _ALLOWED, line: int | None = None) -> BuildError:
        return BuildError(Problem(what, allowed, mend, line=line or self._parser.CurrentLineNumber, file=self._file))

    def _document_type(self, *_: object) -> None:
        raise self._refused(
            "the file declares a document type or an entity, which no GPX file needs and which can do harm",
            "take the lines from <!DOCTYPE to ]> out, or export the drive anew",
        )

    def _start(self, name: str, given: dict[str, str]) -> None:
        self._depth += 1
        self._elements += 1
        if self._elements == 1 and name != "gpx":
            raise self._refused(f"the file begins with <{name[:40]}>, not with <gpx>", "export the drive as GPX")
        if self._depth > MOST_DEPTH or self._elements > MOST_ELEMENTS:
            raise self._refused("the file is nested too deeply, or holds too many elements", "export the drive anew")
        if name in self._seen:
            here = self._seen[name]
            here.begins.append(self._parser.CurrentByteIndex)
            here.lines.append(self._parser.CurrentLineNumber)
            self._is_place(given.get("lat", ""), "latitude", FARTHEST_NORTH)
            self._is_place(given.get("lon", ""), "longitude", 180.0)
        elif name == "trkseg" or name == "rte":
            here = self._seen["trkpt" if name == "trkseg" else "rtept"]
            here.parts.append(len(here.begins))
        elif name in ("ele", "time"):
            self._text = []

    def _characters(self, text: str) -> None:
        if self._text is not None:
            self._text.append(text)

    def _end(self, name: str) -> None:
        self._depth -= 1
        if self._text is None or name not in ("ele", "time"):
            return
        text, self._text = "".join(self._text), None
        if name == "ele" and text.strip() and not _NUMBER.fullmatch(text):
            allowed = "a number of metres, with a decimal point"
            raise self._refused(
                f"the height '{text.strip()[:40]}' is not a number", "correct it, or take it out", allowed
            )
        if name == "time" and text.strip() and not _TIME.fullmatch(text):
            allowed = "a time such as 2026-05-01T10:00:00Z"
            raise self._refused(f"'{text.strip()[:40]}' is not a time", "correct it, or take it out", allowed)

    def _is_place(self, text: str, what: str, most: float) -> None:
        if not _NUMBER.fullmatch(text):
            said = f"the {what} '{text[:40]}' is not a number" if text else f"a point has no {what}"
        elif abs(float(text)) > most:
            said = f"the {what} {text.strip()[:40]}° is outside what can be"
        else:
            return
        allowed = f"a number from -{most:g} to {most:g}, in degrees with a decimal point"
        raise self._refused(said, "correct the point, or take it out", allowed)


def _kept(found: _Seen, every: int) -> Any:
    """Which points are taken: every so many, and the first and last of each part."""
    taken = np.zeros(len(found.begins), dtype=bool)
    taken[::every] = True
    starts = np.array([each for each in found.parts if each < len(taken)], dtype=int)
    taken[starts] = taken[starts - 1] = taken[-1] = True
    return np.flatnonzero(taken)


def _thinned(raw: bytes, found: _Seen, kept: Any) -> bytes:
    """The file without the points that are not taken; of a part its last point always is, so that nothing else is cut."""
    if len(kept) == len(found.begins):
        return raw
    begins = [*found.begins, len(raw)]
    pieces = [raw[: begins[0]], *(raw[begins[at] : begins[at + 1]] for at in kept)]
    return b"".join(pieces)


def _parsed(raw: bytes, file: str, which: str) -> Sequence[Any]:
    import gpxpy  # of all builds few have a route
    from gpxpy.gpx import GPXException

    try:
        known = gpxpy.parse(raw.decode("utf-8"))
    except (GPXException, ValueError, TypeError, LookupError, AttributeError, OverflowError) as cause:
        what = f"this is not GPX: {str(cause)[:80]}"
        raise BuildError(Problem(what, _ALLOWED, "export the drive anew as GPX 1.1", file=file)) from None
    if which == "trkpt":
        return [point for track in known.tracks for segment in track.segments for point in segment.points]
    return [point for route in known.routes for point in route.points]
