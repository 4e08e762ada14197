"""GPX files of invented drives, for tests: in the middle of an ocean, where nobody drives."""

from __future__ import annotations

import copy
import math
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from helpers import example
from voltwright.build.reader import from_document
from voltwright.build.writer import put
from voltwright.parts.columns import Held
from voltwright.rules.dossier import Dossier, assess

GOLDEN = Path(__file__).parent / "unit" / "golden" / "routes" / "hill.gpx"

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1">\n'
NORTH = 111_034.6  # m for a degree of latitude, near 40° north


def point(north: float, east: float = 0.0, height: float | None = None, second: float | None = None) -> str:
    """One point, metres from 40° N 35° W; east is metres there too."""
    place = f'lat="{40 + north / NORTH:.7f}" lon="{-35 + east / 85_394.0:.7f}"'
    ele = "" if height is None else f"<ele>{height:.2f}</ele>"
    time = "" if second is None else f"<time>{clock(second)}</time>"
    return f"<trkpt {place}>{ele}{time}</trkpt>"


def clock(second: float) -> str:
    whole = int(second)
    return f"2026-05-{1 + whole // 86400:02d}T{whole // 3600 % 24:02d}:{whole // 60 % 60:02d}:{second % 60:06.3f}Z"


def track(points: list[str]) -> str:
    """A file with one track; the first point stands in line 4."""
    return HEAD + "<trk><trkseg>\n" + "\n".join(points) + "\n</trkseg></trk>\n</gpx>\n"


def held(text: str | bytes, name: str = "drive.gpx") -> Held:
    return Held(name, text if isinstance(text, bytes) else text.encode())


def drive(
    seconds: int, speed: Callable[[float], float], height: Callable[[float], float] | None = None, *, timed: bool = True
) -> list[str]:
    """Points at each second of a drive straight to the north; speed [m/s] over time, height [m] over the way."""
    points, way = list[str](), 0.0
    for second in range(seconds + 1):
        points.append(point(way, 0.0, height(way) if height else None, second if timed else None))
        way += (speed(second) + speed(second + 1)) / 2
    return points


def hill(way: float, top: float = 60.0, length: float = 4000.0) -> float:
    """A hill that comes again and again. [m]"""
    return 20.0 + top * math.sin(math.pi * way / length) ** 2


HILL = {"name": "hill", "share": "20 %", "route": "hill.gpx", "speed": "70 km/h"}


def driven(folder: Path, changes: dict[str, Any] | None = None, *, with_bands: bool = False, **journey: Any) -> Dossier:
    """The coupé with one journey over a route out of that folder."""
    shutil.copy(GOLDEN, folder / "hill.gpx")
    base = example()
    root = copy.deepcopy(base.document.root)
    root.pop("variants", None)
    put(
        root,
        "duty.trips",
        [
            {"name": "round", "share": "80 %", "trip": "udds"},
            {
                key: each
                for key, each in (HILL | journey).items()
                if each is not None  # None takes a line out
            },
        ],
    )
    for path, value in (changes or {}).items():
        put(root, path, value)
    return assess(
        from_document(replace(base.document, root=root), base.shelf, folder), with_bands=with_bands, search=False
    )
