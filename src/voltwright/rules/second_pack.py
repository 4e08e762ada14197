"""A second pack in the load space, in one step: one more string of the same modules, with its box, monitors and cables.

Everything that it sets besides counts is assumed, with its reason: the place and size of the box are a beginning, not a drawing.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from voltwright.assess.case import Case
from voltwright.build.begun.boxes import Room, boxed
from voltwright.build.fitted import Pack
from voltwright.rules.ways import Watched, monitors_for, of_each_string

NAME = "second-pack"
BOX = "load-space"
BESIDE_WHEELS, LENGTH = 0.45, 0.80  # m: what wheels and walls take of the width, and how long such a box may be
BOX_SHARE, CABLES = 0.25, 4.0  # of the mass of its modules; kg
WHERE = "where the load space is; measure the room, and look at what is behind and below it"


def second_pack(case: Case) -> tuple[str, dict[str, Any]]:
    """The name of a new variant, and what stands in the build file for it: one more string, in the load space."""
    pack = case.build.pack
    name = _free(NAME, case.build.variants)
    more = pack.parallel + 1
    was, now = (Watched(pack.series, count, case.module, case.bms) for count in (pack.parallel, more))
    changes: dict[str, Any] = {
        "pack.parallel": more,
        f"pack.boxes.{len(pack.boxes)}": _box(case),
        **_monitors(pack, was, now),
        **of_each_string(pack, more),
        f"extras.{len(case.build.extras)}": _cables(case),
        **_strings(case),
    }
    modules = "one more module" if pack.series == 1 else f"{pack.series} more modules"
    why = f"a second pack in the load space: {modules} of the same kind as one more string, for more range"
    return name, {"why": why, "changes": changes}


def _monitors(pack: Pack, was: Watched, now: Watched) -> dict[str, Any]:
    """As many more boards and sensors as the string asks for; no fewer than it takes where there were too few, or some spare."""
    changes = monitors_for(pack, was, now)
    if now.boards is not None and pack.bms.boards < now.boards:
        changes["pack.bms.boards"] = now.boards
    if (pack.bms.sensors or 0) < now.sensors:
        changes["pack.bms.sensors"] = now.sensors
    return changes


def _free(name: str, taken: Mapping[str, Any]) -> str:
    """The name, or the first with a number behind it that is free."""
    tries = (name, *(f"{name}-{number}" for number in range(2, len(taken) + 3)))
    return next(each for each in tries if each not in taken)


def _assumed(value: str, note: str) -> dict[str, str]:
    return {"value": value, "how": "assumed", "source": "typical-practice", "note": note}


def _box(case: Case) -> dict[str, Any]:
    """A box for one string, as low as the room's width allows, in the middle of the load space."""
    pack, donor, module = case.build.pack, case.build.donor, case.module
    place, half = donor.load_space, LENGTH / 2
    width = max(donor.size.width.value - BESIDE_WHEELS, module.width.value)
    room = Room(BOX, place.x.value - half, place.x.value + half, width, 0.0, donor.size.height.value)
    outside = boxed(room, module, pack.series)
    held = [(box.mass.value / box.modules) for box in pack.boxes if box.modules]
    each = sum(held) / len(held) if held else BOX_SHARE * module.mass.value
    mass = each * pack.series
    names = {box.name for box in pack.boxes}
    note = "as heavy for each module as the boxes that there are" if held else "a quarter of its modules; weigh it"
    return {
        "name": next(each for each in (BOX, *(f"{BOX}-{number}" for number in range(2, 99))) if each not in names),
        "modules": pack.series,
        "mass": _assumed(f"{mass:.1f} kg ± {mass / 4:.1f} kg", note),
        "x": _assumed(place.x.text, WHERE),
        "z": _assumed(place.z.text, WHERE),
        "length": f"{1000 * _up(outside.length):.0f} mm",
        "width": f"{1000 * _up(outside.width):.0f} mm",
        "height": f"{1000 * _up(outside.height):.0f} mm",
    }


def _up(metres: float) -> float:
    return math.ceil(100 * metres - 1e-9) / 100


def _cables(case: Case) -> dict[str, Any]:
    place = case.build.donor.load_space
    note = "one pair to the second pack with conduit, glands and lugs; weigh it"
    half = place.x.value / 2
    return {
        "name": "cables of the second pack",
        "mass": _assumed(f"{CABLES:.0f} kg ± {CABLES / 2:.0f} kg", note),
        "x": _assumed(f"{max(half, 0.1):.2f} m", "half the way from the front axle; the middle of the run counts"),
        "z": _assumed("0.25 m", "along the floor"),
    }


def _strings(case: Case) -> dict[str, Any]:
    """Where the bench found each string by itself: the new one as the weakest of them, until it is tested."""
    found = case.build.pack.condition.strings if case.build.pack.condition else ()
    if not found:
        return {}
    weakest = min(found, key=lambda each: each.health.value)
    new = {"health": weakest.health.text, "resistance_growth": weakest.resistance_growth}
    return {f"pack.condition.strings.{len(found)}": new}
