"""The old gears and shafts under the new motor: how fast, how hard, and how hard backwards on a wet road."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.assess.drive import gears_of
from voltwright.quantity.units import Unit
from voltwright.rules.clause import maker, practice
from voltwright.rules.finding import Assessed, Finding, apart, exceeds
from voltwright.rules.rule import rule
from voltwright.rules.ways import downwards, less_torque, one_gear, settings


@rule("trips")
def gearbox_speed(seen: Assessed) -> Iterator[Finding]:
    """Does anybody know how fast the old gearbox may turn?"""
    line, motor = seen.case.build.donor.drive_line, seen.case.motor
    if seen.case.build.drive.gearing.way != "gearbox-kept" or motor is None or line.gearbox.speed_max is not None:
        return
    figure = seen.figures.get("drive.motor_speed_max_used")
    if figure is None or figure.value is None:
        return
    yield Finding(
        key="drive.gearbox_speed_unknown",
        severity="caution",
        title="Nobody knows how fast the old gearbox may turn",
        detail=f"{motor.title} turns at up to {motor.speed_max.text}; gearbox, clutch, flywheel and propeller shaft were made for an "
        f"engine. Every figure takes {seen.text('drive.motor_speed_max_used')} as the highest input speed, which is a guess.",
        value=motor.speed_max.text,
        clause=practice("what the donor's engine was let to turn at"),
        remedy="Enter donor.drive_line.gearbox.speed_max from the engine's papers, and set the inverter's speed limit to it.",
    )


@rule("drive")
def half_shafts(seen: Assessed) -> Iterator[Finding]:
    """Do the half shafts bear the torque of the lowest gear?"""
    torque, bears = seen.si("drive.wheel_torque_peak"), seen.case.build.donor.drive_line.half_shaft_torque
    if torque is None or bears is None or not exceeds(torque / 2, bears.value):
        return
    said = apart(seen.torque, torque / 2, bears.value)
    yield Finding(
        key="drive.half_shaft_torque",
        severity="stop",
        title="A half shaft gets more torque than it bears",
        detail=f"In the lowest gear each of the two gets {said.value}.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker("the maker's rating of the shaft, or what engine and lowest gear gave"),
        remedy=f"Set drive.torque_limit so that it falls by {100 * (1 - 2 * bears.value / torque):.0f} %, leave out the lowest gear, "
        "or fit stronger shafts.",
        ladders=(less_torque(seen, 2 * bears.value / torque), one_gear(seen)),
    )


@rule("car")
def wet_regeneration(seen: Assessed) -> Iterator[Finding]:
    """May the braking motor lock the driven wheels on a wet road?"""
    made, gears = seen.sheet.simulated, gears_of(seen.case)[0]
    if made is None or gears is None:
        return
    given = made.car.inputs
    holds, torque, radius = (given[name].value for name in ("regen_grip_force", "regen_torque", "radius"))
    ratio, efficiency = gears.lowest.value, gears.efficiency.value
    most = holds * radius * efficiency / ratio
    if not exceeds(torque, most):
        return
    axle = {"front": "front", "rear": "rear"}.get(seen.case.build.donor.drive_line.driven_axle, "driven")
    rear = axle == "rear"
    said = apart(seen.torque, torque, most)
    yield Finding(
        key="drive.wet_regeneration",
        severity="caution",
        title=f"Regeneration can lock the {axle} wheels on a wet road",
        detail=f"In the lowest gear {said.value} of braking torque is more than wet tyres hold"
        + (": the rear breaks away, and the car spins." if rear else ": the car does not steer.")
        + " The figures are worked with no more than the tyres hold; the inverter does not know that.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=practice("grip of 0.4 on a wet road, braking by one axle"),
        remedy=f"Set the braking torque of the inverter (drive.regeneration.torque) to {said.limit} or less, "
        "try it on a wet empty place, and let the brake lamps come on with it.",
        ladders=(
            settings(
                "drive.regeneration.torque",
                "Set the braking torque of the inverter to",
                downwards(torque, 5.0, 5.0),
                "N·m",
                near=most,
            ),
        ),
    )


@rule("trips")
def speed_for_a_while(seen: Assessed) -> Iterator[Finding]:
    """Does the wished top speed last?"""
    wish, holds = seen.case.build.brief.top_speed, seen.si("road.top_speed_sustained")
    top = seen.si("road.top_speed")
    if wish is None or holds is None or top is None or not exceeds(wish.value, holds) or exceeds(wish.value, top):
        return
    said = apart(seen.speed, holds, wish.value)
    yield Finding(
        key="brief.top_speed_for_a_while",
        severity="caution",
        title="The speed of the brief does not last",
        detail=f"The brief asks {wish.text}; the car holds {said.value} continuously. Above that the motor "
        "warms up until it gives its continuous power only.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker(f"the motor's ratings: {_ratings(seen)}"),
        remedy="Tell the customer, or choose a motor of more continuous power.",
    )


def _ratings(seen: Assessed) -> str:
    motor = seen.case.motor
    if motor is None:
        return "not known"
    return f"{motor.power_peak.text} for {motor.power_peak_time.text}, {motor.power_continuous.text} continuously"


@rule("trips")
def heater_and_cold(seen: Assessed) -> Iterator[Finding]:
    """What is left of the promised range in winter?"""
    wish, cold, case = seen.case.build.brief.range, seen.figures.get("road.range_cold"), seen.case
    if wish is None or cold is None or cold.value is None:
        return
    asked = Unit("km").from_si(wish.value)
    if cold.value >= asked:
        return
    yield Finding(
        key="brief.range_cold",
        severity="note",
        title="On the coldest day the car does not come as far as the brief asks",
        detail=f"The brief asks {wish.text}; at {seen.degrees(case.build.duty.climate.coldest.value)} it is "
        f"{seen.text('road.range_cold')}"
        + (", the cabin heater included." if case.build.comfort.cabin_heater else "."),
        limit=wish.text,
        value=seen.text("road.range_cold"),
        remedy="Say so to the customer; warm the cabin and the pack while the car is still on the plug.",
    )
