"""Holding: the servo without an engine, and a parked car without a gear."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.assess.holding import parking_axle
from voltwright.physics import air
from voltwright.physics.mass import STANDARD_GRAVITY
from voltwright.physics.road_load import grade_force
from voltwright.quantity.figure import fixed
from voltwright.quantity.units import Unit
from voltwright.rules.clause import from_memory, practice
from voltwright.rules.finding import Assessed, Finding, apart, exceeds, likely, percent
from voltwright.rules.rule import rule
from voltwright.rules.ways import fewer_strings, less_load, one_step, settings, upwards

PUMP_REACHES = 0.85  # of the air outside: what an electric vacuum pump comes to
HEAVIER_PEDAL = 1.2  # over that of the donor
HOLDS, HOLDS_AT_LEAST = 0.20, 0.16
_ELECTRIC = {"braking.servo": "electric"}


@rule()
def servo_without_engine(seen: Assessed) -> Iterator[Finding]:
    """Does anything make vacuum for the servo, and does the driver learn when it fails?"""
    braking = seen.case.build.braking
    if seen.case.build.servo != "vacuum":
        return
    if not braking.vacuum_pump:
        yield Finding(
            key="brakes.servo_vacuum",
            severity="stop",
            title="Nothing makes vacuum for the brake servo",
            detail="The engine sucked the servo empty, and the engine goes. After two or three stops the servo is dead, and the pedal must "
            "be pressed two to four times as hard for the same stop.",
            clause=practice("a vacuum servo needs a source of vacuum"),
            remedy="With a pump: a tank with a non-return valve, a switch that reads vacuum, and a lamp that warns.",
            ladders=(
                one_step("Fit an electric vacuum pump (braking.vacuum_pump)", {"braking.vacuum_pump": True}),
                one_step("Fit an electric servo (braking.servo)", _ELECTRIC),
            ),
        )
    elif not braking.vacuum_warning:
        yield Finding(
            key="brakes.vacuum_warning",
            severity="caution",
            title="Nobody tells the driver when the vacuum pump fails",
            detail="With a dead pump the first stops are as ever, and then the servo is gone, all at once.",
            clause=from_memory("UN R13-H 5.2.14: a warning where stored energy falls too low"),
            ladders=(
                one_step(
                    "Fit a vacuum switch with a lamp in the driver's view (braking.vacuum_warning)",
                    {"braking.vacuum_warning": True},
                ),
            ),
        )


@rule("brakes")
def vacuum_enough(seen: Assessed) -> Iterator[Finding]:
    """Does a pump reach the vacuum that the heavier car asks, at the height where it lives?"""
    needed, altitude = seen.si("brakes.vacuum_needed"), seen.case.build.duty.climate.altitude
    if needed is None or not seen.case.build.braking.vacuum_pump:
        return
    outside = air.air_pressure(
        altitude=altitude.value if altitude else 0.0,
        sea_pressure=air.SEA_PRESSURE,
        lapse_height=air.LAPSE_HEIGHT,
        exponent=air.PRESSURE_EXPONENT,
    )
    most = PUMP_REACHES * float(outside)
    fails = seen.failing("brakes.vacuum_needed", most, "a pump reaches the vacuum that the servo needs")
    if not exceeds(needed, most):
        return
    yield Finding(
        key="brakes.vacuum_needed",
        severity="caution",
        title="The servo does not help as much as it did",
        detail=f"For the same stop under the same foot it needs {seen.text('brakes.vacuum_needed')} of vacuum: the car is heavier than the "
        f"donor. A pump reaches {_kilopascals(most)} where the car lives; above that the foot presses harder.",
        limit=_kilopascals(most),
        value=_kilopascals(needed),
        margin=_kilopascals(most - needed),
        likelihood=likely(fails),
        clause=practice("electric vacuum pumps come to some 85 % of the air outside"),
        remedy="Or a larger servo.",
        ladders=(one_step("Fit an electric servo (braking.servo)", _ELECTRIC), fewer_strings(seen)),
    )


def _kilopascals(value: float) -> str:
    return f"{fixed(Unit('kPa').from_si(value), 0)} kPa"


@rule("brakes")
def pedal_without_servo(seen: Assessed) -> Iterator[Finding]:
    """Is the pedal of a car without a servo hardly heavier than the donor's?"""
    factor = seen.si("brakes.pedal_factor")
    if factor is None or seen.case.build.servo != "none" or not exceeds(factor, HEAVIER_PEDAL):
        return
    yield Finding(
        key="brakes.pedal",
        severity="caution",
        title="The brake pedal is heavier than it was",
        detail=f"Without a servo the same stop takes {fixed(factor, 1)} times the donor's pedal force.",
        limit=fixed(HEAVIER_PEDAL, 1),
        value=fixed(factor, 1),
        margin=fixed(HEAVIER_PEDAL - factor, 1),
        likelihood=likely(seen.failing("brakes.pedal_factor", HEAVIER_PEDAL, "the pedal is hardly heavier")),
        clause=practice(),
        ladders=(one_step("Fit an electric servo (braking.servo)", _ELECTRIC), fewer_strings(seen)),
    )


@rule()
def parking_brake(seen: Assessed) -> Iterator[Finding]:
    """Is there a parking brake, and did anybody measure it?"""
    build = seen.case.build
    lock = build.braking.park_lock
    if parking_axle(seen.case) is None:
        went = " It sat on the gearbox, and the gearbox goes." if build.donor.brakes.parking == "transmission" else ""
        yield Finding(
            key="brakes.parking_missing",
            severity="caution" if lock in ("pawl", "spring-brake") else "stop",
            title="There is no parking brake",
            detail=f"Nothing holds the wheels of the parked car through a cable or a rod.{went} An engine in gear held it a little; a "
            "motor turns freely.",
            clause=from_memory(
                "UN R13-H 5.1.2.3 and the periodic tests of most countries: a parking brake that works by itself"
            ),
            remedy="A pawl or a spring brake in the drive holds the car as long as both driven wheels grip; laws ask for more.",
            ladders=(
                one_step(
                    "Fit a parking brake on the rear wheels (donor.brakes.parking)",
                    {"donor.brakes.parking": "rear-cable"},
                ),
            ),
        )
    elif (force := build.donor.brakes.parking_force) is None or force.is_assumed:
        taken = (
            "it held the donor at its permitted mass on 16 to 20 %, as laws asked"
            if force is None
            else f"it pulls {force.text}"
        )
        yield Finding(
            key="brakes.parking_unmeasured",
            severity="note",
            title="Nobody measured the parking brake",
            detail=f"It is taken that {taken}. Old cables often do not.",
            clause=practice(),
            remedy="Pull it on a roller brake tester, and enter donor.brakes.parking_force: both wheels together.",
        )


@rule("brakes", "mass")
def holds_on_a_slope(seen: Assessed) -> Iterator[Finding]:
    """Does the parking brake hold the laden car on the slope that laws or the customer ask?"""
    held, wish, laden = seen.si("brakes.hold_gradient"), seen.case.build.brief.park_gradient, seen.si("mass.laden")
    if held is None or laden is None:
        return
    need = max(HOLDS, wish.value) if wish else HOLDS
    fails = seen.failing("brakes.hold_gradient", need, "the parking brake holds the laden car", least=True)
    if not exceeds(need, held):
        return
    force = float(grade_force(mass=laden, gravity=STANDARD_GRAVITY, grade=need))
    values = upwards(max(0.0, force - 500.0), 100.0, force + 500.0)
    said = apart(percent, held, need)
    yield Finding(
        key="brakes.hold_gradient",
        severity="stop" if held < HOLDS_AT_LEAST else "caution",
        title="The parking brake does not hold the laden car where it should",
        detail=f"Laden, facing up or down, it holds on {said.value}. For {said.limit} it must pull with "
        f"{fixed(force, 0)} N at the tread, if the tyres grip.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        likelihood=likely(fails),
        clause=from_memory("UN R13-H annex 3 and 49 CFR 571.135 S7.12: 20 % laden; periodic tests ask 16 %"),
        remedy="New cables and linings, and a longer lever, before anything else.",
        ladders=(
            settings(
                "donor.brakes.parking_force", "Mend the parking brake until a roller brake tester reads", values, "N"
            ),
            less_load(seen),
            fewer_strings(seen),
        ),
    )


@rule()
def no_gear_holds(seen: Assessed) -> Iterator[Finding]:
    """What holds the parked car beside its parking brake, now that no engine is in gear?"""
    lock = seen.case.build.braking.park_lock
    if lock == "hydraulic":
        yield Finding(
            key="brakes.hydraulic_hold",
            severity="caution",
            title="A hydraulic hold is no parking brake",
            detail="It keeps pressure in the lines. The fluid cools, a seal leaks, and an hour later the car rolls.",
            clause=from_memory("UN R13-H 5.1.2.3: a parked car is held by purely mechanical means"),
            remedy="Use it for starting on a hill, and the parking brake for parking.",
            ladders=(
                one_step("Fit a pawl (braking.park_lock)", {"braking.park_lock": "pawl"}),
                one_step("Leave it out (braking.park_lock)", {"braking.park_lock": "none"}),
            ),
        )
    elif lock == "none" and parking_axle(seen.case) is not None:
        yield Finding(
            key="brakes.no_gear",
            severity="note",
            title="No gear holds the parked car any more",
            detail="An engine in first gear held the old car when the parking brake slipped. A motor turns freely, in any gear.",
            clause=practice(),
            remedy="Tell the customer, and leave a chock in the boot; or fit a pawl or a spring brake in the drive (braking.park_lock).",
        )
