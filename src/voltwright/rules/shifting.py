"""The gears and the motor's speed: what the wished speed asks of the highest gear, and what a wrong shift does."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.assess.drive import gears_of
from voltwright.assess.drive_line import numbered
from voltwright.physics.motor import back_emf, motor_speed
from voltwright.quantity.entry import Entry
from voltwright.quantity.figure import amount
from voltwright.quantity.units import Unit
from voltwright.rules.clause import arithmetic, maker
from voltwright.rules.finding import Assessed, Finding, Ladder, exceeds, volts
from voltwright.rules.rule import GEARBOX_KEPT, rule
from voltwright.rules.ways import downwards, locked_in, one_gear, settings


def _gears(seen: Assessed) -> list[tuple[int, float, float]]:
    """Number, motor turns for one of the wheels, and greatest road speed [m/s] of each gear that is used, the lowest first."""
    gears = gears_of(seen.case)[0]
    every = numbered(seen.case, gears) if gears else []
    speeds = [(number, ratio.value, seen.si(f"drive.speed_in_gear.{number}")) for number, ratio in every]
    return [(number, ratio, speed) for number, ratio, speed in speeds if speed is not None]


def _rpm(seen: Assessed, turning: float) -> str:
    return amount(Unit("rpm").from_si(turning), Unit("rpm"), 0, seen.system)


_WISHES = (("top_speed", "top speed"), ("cruise_speed", "cruising speed"))


@rule("drive_line")
def overspeed(seen: Assessed) -> Iterator[Finding]:
    """Does the motor turn no faster than it may at the speeds of the brief, in the highest gear that is used?"""
    gears, held = _gears(seen), seen.case.resistance
    if not gears or held is None:
        return
    _, ratio, fastest = gears[-1]
    for field, words in _WISHES:
        wish: Entry | None = getattr(seen.case.build.brief, field)
        if wish is None or not exceeds(wish.value, fastest):
            continue
        turns, may = (
            float(motor_speed(speed=speed, ratio=ratio, wheel_radius=held.radius.value))
            for speed in (wish.value, fastest)
        )
        yield Finding(
            key=f"drive.overspeed_{field}",
            severity="caution",
            title=f"The {words} of the brief is beyond the gears",
            detail=f"At {wish.text} the motor would turn at {_rpm(seen, turns)} in the highest gear that is used; motor and gears "
            f"bear {_rpm(seen, may)}, which is {seen.speed(fastest)}. No more power helps.",
            limit=_rpm(seen, may),
            value=_rpm(seen, turns),
            margin=_rpm(seen, may - turns),
            clause=maker("the makers' highest speeds of motor and gears; of an old gearbox the engine's red line"),
            remedy="Or a longer final drive, or a gear unit with a lower ratio; then see that the car still starts on the slope.",
            ladders=(one_gear(seen), _agree(field, wish)),
        )


def _agree(field: str, wish: Entry) -> Ladder:
    values = downwards(Unit("km/h").from_si(wish.value), 5.0, 5.0)
    return settings(f"brief.{field}", "Agree with the customer on", values, "km/h")


@rule("drive_line", when=GEARBOX_KEPT)
def wrong_shift(seen: Assessed) -> Iterator[Finding]:
    """What does a shift into a gear that is too low do to the motor?"""
    gears, held, motor = _gears(seen), seen.case.resistance, seen.case.motor
    driven = _driven_at(seen)
    if len(gears) < 2 or held is None or motor is None or driven is None:
        return
    speed = min(driven, gears[-1][2])
    too_low = [each for each in gears[:-1] if exceeds(speed, each[2])]
    if not too_low:
        return
    number, ratio, most = gears[0]
    turns, may = (float(motor_speed(speed=each, ratio=ratio, wheel_radius=held.radius.value)) for each in (speed, most))
    told = ", ".join(f"gear {number} above {seen.speed(most)}" for number, _, most in too_low)
    killed = _inverter_killed(seen, turns)
    yield Finding(
        key="drive.wrong_shift",
        severity="caution" if killed else "note",
        title="A shift into too low a gear turns the motor too fast",
        detail=f"Too fast for motor and gearbox: {told}. In gear {number} at {seen.speed(speed)} the wheels would turn the motor "
        f"at {_rpm(seen, turns)}; by itself it bears {motor.speed_max.text}.{killed}",
        limit=_rpm(seen, may),
        value=_rpm(seen, turns),
        margin=_rpm(seen, may - turns),
        clause=arithmetic("road speed through the lowest gear, against the makers' limits"),
        remedy="Write these speeds beside the lever and in the handbook. No setting of the inverter helps: the wheels turn the motor. "
        "A clutch that slips first is a safeguard; a rigid coupling is none.",
        ladders=(_locked(seen, [each for each, _, most in gears if not exceeds(speed, most)]),),
    )


def _inverter_killed(seen: Assessed, turns: float) -> str:
    """What the motor's own voltage does to the inverter at that speed; empty where it bears it or nobody knows."""
    motor, inverter = seen.case.motor, seen.case.inverter
    if motor is None or motor.back_emf is None or inverter is None:
        return ""
    crest, may = float(back_emf(emf_constant=motor.back_emf.value, speed=turns)), inverter.voltage_max.value
    return f" There it makes {volts(crest)}; {inverter.title} bears {volts(may)}." if exceeds(crest, may) else ""


def _locked(seen: Assessed, gears: list[int]) -> Ladder:
    """The gearbox locked in one gear, so that nobody shifts."""
    rungs = tuple(locked_in(seen, each) for each in gears)
    return Ladder(lambda: rungs, rising=False)


def _driven_at(seen: Assessed) -> float | None:
    """The speed that the brief asks for, or else that which the car holds. [m/s]"""
    brief = seen.case.build.brief
    wish = brief.top_speed or brief.cruise_speed
    return wish.value if wish else seen.si("road.top_speed_sustained")
