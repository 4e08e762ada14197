"""Places: boxes inside the car, modules inside their boxes, and nothing where no car is."""

from __future__ import annotations

import math
from collections.abc import Iterator

from voltwright.build.fitted import Box
from voltwright.physics.mass import wheel_rate_from_bounce
from voltwright.quantity.entry import Entry
from voltwright.rules.clause import arithmetic, practice
from voltwright.rules.finding import Assessed, Finding
from voltwright.rules.rule import rule

MARGIN = 0.30  # m; a thing may hang a little outside the outline, a slip of the pen is farther
BOUNCE = (0.7, 4.0)  # Hz; common practice: no road car bounces more slowly or more quickly


@rule()
def box_inside(seen: Assessed) -> Iterator[Finding]:
    """Does each box lie inside the outline of the car?"""
    for box in seen.case.build.pack.boxes:
        beyond = list(_beyond(seen, box))
        if beyond:
            side, by, _ = max(beyond, key=lambda each: each[1])
            yield Finding(
                key=f"fit.box_outside.{box.name}",
                severity="stop",
                title=f"Box {box.name} sticks out of the car",
                detail="; ".join(f"{seen.metres(each[1])} beyond {each[0]}" for each in beyond) + ".",
                limit=f"inside {side}",
                value=f"{seen.metres(by)} outside",
                margin=seen.metres(-by),
                clause=practice(),
                remedy=(
                    "; ".join(f"move it {each[2]} by {seen.metres(each[1])}" for each in beyond).capitalize()
                    + ", or make it smaller."
                ),
            )


def _beyond(seen: Assessed, box: Box) -> Iterator[tuple[str, float, str]]:
    size = seen.case.build.donor.size
    x, y, z = box.x.value, box.y.value if box.y else 0.0, box.z.value
    nose, tail = -size.front_overhang.value, size.length.value - size.front_overhang.value
    floor = size.ground_clearance.value if size.ground_clearance else 0.0
    low, high = z - box.height.value / 2, z + box.height.value / 2
    half = size.width.value / 2
    sides = [
        ("the nose", nose - (x - box.length.value / 2), "rearwards"),
        ("the tail", x + box.length.value / 2 - tail, "forwards"),
        ("the left side", y + box.width.value / 2 - half, "to the right"),
        ("the right side", -half - (y - box.width.value / 2), "to the left"),
        ("the roof", high - size.height.value, "down"),
        ("the ground clearance" if floor else "the ground", floor - low, "up"),
    ]
    yield from (each for each in sides if each[1] > 1e-9)


@rule()
def modules_fit(seen: Assessed) -> Iterator[Finding]:
    """Is each box large enough for its modules?"""
    module = seen.case.module
    each = sorted((module.length.value, module.width.value, module.height.value))
    for box in seen.case.build.pack.boxes:
        inside = sorted((box.length.value, box.width.value, box.height.value))
        room, need = math.prod(inside), box.modules * math.prod(each)
        if not box.modules or (need <= room and all(a <= b for a, b in zip(each, inside, strict=True))):
            continue
        yield Finding(
            key=f"fit.box_small.{box.name}",
            severity="stop",
            title=f"Box {box.name} is too small for its modules",
            detail=f"{box.modules} modules of {_size(seen, each)} need {need * 1000:.1f} l without walls and gaps; "
            f"the box is {_size(seen, inside)} outside, {room * 1000:.1f} l.",
            limit=f"{need * 1000:.1f} l",
            value=f"{room * 1000:.1f} l",
            margin=f"{(room - need) * 1000:.1f} l".replace("-", "−"),
            clause=arithmetic(
                "a module cannot be cut; the sum of volumes is the least that a box needs, not enough by itself"
            ),
            remedy=f"Make the box larger, or put fewer than {box.modules} modules in it.",
        )


def _size(seen: Assessed, sides: list[float]) -> str:
    return " × ".join(seen.millimetres(side) for side in reversed(sides))


def _placed_things(seen: Assessed) -> Iterator[tuple[str, Entry, Entry | None, Entry]]:
    build = seen.case.build
    yield from ((f"donor.removed, {each.name}", each.x, each.y, each.z) for each in build.donor.removed)
    yield from ((f"donor.seats, {each.name}", each.x, None, each.z) for each in build.donor.seats)
    yield (f"donor.load_space, {build.donor.load_space.name}", build.donor.load_space.x, None, build.donor.load_space.z)
    yield from ((path, each.x, each.y, each.z) for path, each in build.placed())
    yield from ((f"extras, {each.name}", each.x, each.y, each.z) for each in build.extras)


@rule()
def places_inside(seen: Assessed) -> Iterator[Finding]:
    """Is everything placed where the car is?"""
    size = seen.case.build.donor.size
    nose, tail = -size.front_overhang.value - MARGIN, size.length.value - size.front_overhang.value + MARGIN
    for name, x, y, z in _placed_things(seen):
        aside = abs(y.value) if y is not None else 0.0
        if (
            nose <= x.value <= tail
            and 0 <= z.value <= size.height.value + MARGIN
            and aside <= size.width.value / 2 + MARGIN
        ):
            continue
        yield Finding(
            key=f"data.place_outside.{name.split(', ')[-1].replace(' ', '_')}",
            severity="stop",
            title=f"{name.split(', ')[-1].capitalize()} is placed outside the car",
            detail=f"{name}: x {x.text}, z {z.text}" + (f", y {y.text}" if y is not None else "") + ". "
            f"The car reaches from {seen.metres(-size.front_overhang.value)} to "
            f"{seen.metres(size.length.value - size.front_overhang.value)} behind the front axle.",
            limit="inside the car",
            value=x.text,
            remedy="Check the place and its unit; x is measured rearwards from the front axle, z upwards from the ground.",
        )


@rule("mass")
def springs_plausible(seen: Assessed) -> Iterator[Finding]:
    """Is an entered wheel rate that of a car?"""
    for axle in ("front", "rear"):
        springs = getattr(seen.case.build.donor.suspension, axle)
        before = seen.si(f"mass.{axle}_axle_before")
        if springs.wheel_rate is None or before is None or before <= springs.unsprung_mass.value:
            continue
        sprung = before - springs.unsprung_mass.value
        bounce = math.sqrt(springs.wheel_rate.value / wheel_rate_from_bounce(bounce=1.0, sprung=sprung))
        if not BOUNCE[0] <= bounce <= BOUNCE[1]:
            yield Finding(
                key=f"data.wheel_rate_{axle}",
                severity="caution",
                title=f"The {axle} wheel rate is not that of a car",
                detail=f"With {springs.wheel_rate.text} at each wheel the body would bounce {bounce:.2f} times a second.",
                limit=f"{BOUNCE[0]:g} to {BOUNCE[1]:g} Hz",
                value=f"{bounce:.2f} Hz",
                clause=practice(),
                remedy="Check the unit: N/mm, N/m or lbf/in; and that it is the rate at the wheel, not of the spring.",
            )
