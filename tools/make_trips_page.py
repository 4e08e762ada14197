"""Writes docs/reference/trips.md from the known trips and the families of figures; `--check` only says whether it is up to date."""

from __future__ import annotations

import sys
from pathlib import Path

from voltwright.assess.keys import FAMILIES
from voltwright.assess.trips import FAMILIES as OF_A_TRIP
from voltwright.kernels.journey import LEAST_SHARE
from voltwright.parts.trips import (
    LONGEST_GAP,
    MOST_CHANGE,
    MOST_GRADE,
    MOST_SECONDS,
    MOST_SPEED,
    Trip,
    trip,
    trip_names,
)

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "trips.md"

HEAD = """\
# Trips

A trip is a speed for every second. Each is driven by simulation with the laden car of the build, again and again, until
the lowest charge that is used. This page is made by `tools/make_trips_page.py` from the code.

`voltwright trips list` lists the trips, `voltwright trips show FILE TRIP` drives the car of a build over one; see
[command line](command-line.md). In a build file `brief.range_trip` names the trip by which the range is judged, and
`duty.trips` the journeys of the year; see [the build file](build-file.md).

"""


def page() -> str:
    """The whole page."""
    return HEAD + "\n".join([*_figures(), "", *_table(), "", *_sources(), "", *_own()]) + "\n"


def _figures() -> list[str]:
    lines = [
        "## Figures",
        "",
        "`TRIP` stands for the name of a trip, or of a journey of the duty that has a speed trace or a route.",
        "",
    ]
    lines += ["| key | unit | label |", "| --- | --- | --- |"]
    for family in OF_A_TRIP:
        known = FAMILIES[family]
        lines.append(f"| `{family}.{known.of}` | {known.unit} | {known.label.format(name=known.of)} |")
    return [
        *lines,
        "",
        f"A car that falls behind by more than {100 * (1 - LEAST_SHARE):.0f} % of the way cannot do the trip: its figures are `null`, "
        "with the limit that holds it back.",
    ]


def _table() -> list[str]:
    lines = [
        "## Trips that can be named",
        "",
        "| name | title | s | km | mean km/h | top km/h |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    return lines + [_row(trip(name)) for name in trip_names()]


def _row(known: Trip) -> str:
    mean, top = 3.6 * known.distance / known.duration, 3.6 * max(known.speed)
    way = known.distance / 1000
    return f"| `{known.name}` | {known.title} | {known.duration:.0f} | {way:.2f} | {mean:.1f} | {top:.1f} |"


def _sources() -> list[str]:
    lines = ["## Where they come from", ""]
    for name in trip_names():
        known = trip(name)
        if known.name.startswith("steady-"):
            continue
        phases = ", ".join(f"{phase} to second {end}" for phase, end in known.phases)
        remark = f" {known.remark[0].upper()}{known.remark[1:]}." if known.remark else ""
        lines.append(f"- `{name}`: {known.source}. Phases: {phases}.{remark}")
    steady = trip("steady-50").source
    return [*lines, f"- `steady-N`: {steady}."]


def _own() -> list[str]:
    return [
        "## Speed traces of your own",
        "",
        "A journey of the duty may name a CSV file beside the build file (`duty.trips[].trace`): `second`, then `km_per_hour` or",
        "`mph`, and `grade_percent` where the slope is known; level where it is not. Other steps than one second are read",
        "as straight lines. Refused are",
        "",
        f"- gaps of more than {LONGEST_GAP:g} s, and times that do not rise;",
        f"- speeds above {MOST_SPEED:g} km/h, and changes of more than {MOST_CHANGE:g} m/s²;",
        f"- slopes of more than {MOST_GRADE:g} %;",
        f"- trips of more than {MOST_SECONDS} s.",
    ]


def main() -> int:
    """Write the page, or only check it."""
    if "--check" not in sys.argv[1:]:
        PAGE.write_text(page(), encoding="utf-8")
    elif not PAGE.exists() or PAGE.read_text(encoding="utf-8") != page():
        print("run tools/make_trips_page.py: trips.md")
        return 1
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
