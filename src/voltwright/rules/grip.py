"""What the road takes of the torque: wheels that spin, and the slope of the brief on a wet road."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.quantity.figure import fixed
from voltwright.rules.clause import practice
from voltwright.rules.finding import Assessed, Finding, apart, exceeds, likely
from voltwright.rules.rule import rule
from voltwright.rules.ways import less_torque, moved_boxes, one_gear

_GRIP = practice("grip of 0.8 on a dry and 0.4 on a wet road, with the load that moves between the axles")


@rule("drive_line")
def wheelspin(seen: Assessed) -> Iterator[Finding]:
    """Does the motor spin the driven wheels?"""
    dry, wet, torque = (seen.si(f"drive.{key}") for key in ("grip_used_dry", "grip_used_wet", "wheel_torque_peak"))
    if dry is None or wet is None or torque is None or not exceeds(wet, 1.0):
        return
    on_dry = exceeds(dry, 1.0)
    road, used = ("dry", dry) if on_dry else ("wet", wet)
    holds = torque / used
    fails = seen.failing(f"drive.grip_used_{road}", 1.0, f"the driven wheels do not spin on a {road} road")
    said = apart(seen.torque, torque, holds)
    yield Finding(
        key=f"drive.wheelspin_{road}",
        severity="caution" if on_dry else "note",
        title=f"The motor spins the driven wheels on a {road} road",
        detail=f"In the lowest gear {said.value} reach the driven wheels, {fixed(used, 2)} times what they hold"
        + (f"; on a wet road they hold {seen.torque(torque / wet)}." if on_dry else ".")
        + " An open differential lets one wheel spin, and the motor runs up at once. While they slip, each half shaft gets some "
        f"{seen.torque(holds / 2)}.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        likelihood=likely(fails),
        clause=_GRIP,
        remedy="Let the torque rise slowly, and follow the pedal gently at its beginning; some inverters watch for wheels that spin.",
        ladders=(less_torque(seen, 1 / used), one_gear(seen)) if on_dry else (),
    )


@rule("drive_line", "road")
def slope_in_the_wet(seen: Assessed) -> Iterator[Finding]:
    """Does the car start on the slope of the brief when it is wet?"""
    wish, wet, dry = (
        seen.case.build.brief.start_gradient,
        seen.si("road.gradient_start_wet"),
        seen.si("road.gradient_start"),
    )
    if wish is None or wet is None or dry is None or not exceeds(wish.value, wet) or exceeds(wish.value, dry):
        return
    driven = seen.case.build.donor.drive_line.driven_axle
    where = {"front": "front axle, which the slope unloads", "rear": "rear axle, which the slope loads"}.get(
        driven, "four wheels"
    )
    yield Finding(
        key="brief.start_gradient_wet",
        severity="note",
        title="On a wet road the car does not start on the slope of the brief",
        detail=f"The brief asks {wish.text}; dry the car starts on {seen.text('road.gradient_start')}, wet on "
        f"{seen.text('road.gradient_start_wet', wish.text)}. It drives by its {where}; there the tyres slip, and no more torque helps.",
        limit=wish.text,
        value=seen.text("road.gradient_start_wet", wish.text),
        likelihood=likely(
            seen.failing(
                "road.gradient_start_wet", wish.value, "the car starts on the slope of the brief in the wet", least=True
            )
        ),
        clause=_GRIP,
        remedy="Tell the customer; or put more of the pack over the driven axle, within what that axle may carry.",
        ladders=tuple(moved_boxes(seen, rearwards=driven == "rear")[:1]) if driven != "both" else (),
    )
