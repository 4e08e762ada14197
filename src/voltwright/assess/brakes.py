"""Does it stop: which axle locks first, empty and laden, before and after, dry and wet, with the motor's braking and without?"""

from __future__ import annotations

from dataclasses import dataclass

from voltwright.assess.case import Case
from voltwright.assess.drive import Gears, gears_of, wheel_radius
from voltwright.assess.grip import dry_grip, wet_grip
from voltwright.assess.holding import assess_holding
from voltwright.assess.keys import KEYS, question_of
from voltwright.assess.mass import Body, donor_body, driven_body, laden_body
from voltwright.assess.motor_model import braking_torque
from voltwright.assess.resistance import standard_gravity
from voltwright.assess.sheet import CONDITION, Sheet, assumed_between, constant
from voltwright.physics import brakes as law
from voltwright.quantity.work import Node, least, work

STATED = 0.5  # a hard stop, as a share of gravity; the curve of UN R13-H allows a grip of 0.77 there
STOP_FROM = 50 / 3.6  # m/s
BRAKES_COME_ON = 0.36  # s, which is the 0.10 V of the laws on stopping distances
MOTOR_BRAKES_AT = 50 / 3.6  # m/s, in town on a wet road


@dataclass(frozen=True)
class Stance:
    """A car ready to brake: its mass, what its axles carry at rest, and what moves between them for a braking of 1."""

    mass: Node
    front: Node
    rear: Node
    moved: Node
    lost: Node

    def axle(self, name: str) -> dict[str, Node]:
        """Load and what moves, as the laws of one axle ask for them."""
        return {"load": self.front, "moved": self.moved} if name == "front" else {"load": self.rear, "moved": self.lost}


def assess_brakes(case: Case, sheet: Sheet) -> None:
    """Enter every figure of the question `brakes`."""
    if "mass.laden" not in sheet.nodes:
        for key in (key for key in KEYS if question_of(key) == "brakes"):
            sheet.lack(key, "nothing is left of the car")
        return
    before = donor_body(case)
    donor = Body(before.mass, {"x": sheet.nodes["mass.cg_x_before"], "z": sheet.nodes["mass.cg_height_before"]})
    kerb = Body(sheet.nodes["mass.kerb"], {"x": sheet.nodes["mass.cg_x"], "z": sheet.nodes["mass.cg_height"]})
    cars = {
        "before": stance(case, driven_body(case, donor, "donor with its driver")),
        "before_laden": stance(case, laden_body(case, donor, "donor, laden")),
        "empty": stance(case, driven_body(case, kerb, "with its driver")),
        "laden": stance(case, _laden(sheet)),
    }
    share = sheet.add("brakes.front_share", front_share(case, cars["before"]))
    _ideal(sheet, cars)
    for name in ("before", "empty", "laden"):
        _rear_first(case, sheet, share, cars, name)
    for name in ("empty", "laden"):
        _adhesion(case, sheet, share, cars, name)
    _stopping(sheet, share, cars["laden"])
    _wet(case, sheet, share, cars["empty"])
    assess_holding(case, sheet, share, cars["before_laden"].mass, cars["laden"])


def _laden(sheet: Sheet) -> Body:
    centre = {"x": sheet.nodes["mass.cg_x_laden"], "z": sheet.nodes["mass.cg_height_laden"]}
    return Body(sheet.nodes["mass.laden"], centre)


def stance(case: Case, body: Body) -> Stance:
    """How a body stands on its axles."""
    wheelbase = case.leaf(case.build.donor.size.wheelbase, "Wheelbase", "m")
    along, up = (
        {"wheelbase": wheelbase, "behind_front": body.centre["x"]},
        {"wheelbase": wheelbase, "height": body.centre["z"]},
    )
    return Stance(
        body.mass,
        work(law.front_load, "Load on the front axle, at rest", **along),
        work(law.rear_load, "Load on the rear axle, at rest", **along),
        work(law.load_moved, "Load that moves to the front", **up),
        work(law.load_lost, "Load that the rear axle gains", **up),
    )


def front_share(case: Case, before: Stance) -> Node:
    """What the front brakes do: entered, or such that the empty donor's front wheels lock first, as makers see to it."""
    label, entered = "Front share of the brakes", case.build.donor.brakes.front_share
    if entered is not None:
        return case.leaf(entered, label, "%")
    reason = (
        "no share is entered; makers share the brakes so that the front wheels of the empty car lock first up to here; "
        "read each wheel on a roller brake tester and enter donor.brakes.front_share"
    )
    where = "donor.brakes.front_share"
    suits = assumed_between("Braking up to which the donor's front wheels lock first", "1", reason, 0.7, 1.0, where)
    return work(law.load_under_braking, label, load=before.front, braking=suits, moved=before.moved)


def _stated() -> Node:
    return constant(STATED, "1", "Braking", CONDITION, "z")


def _ideal(sheet: Sheet, cars: dict[str, Stance]) -> None:
    """The share that would use both axles alike in a hard stop, and how far the conversion moved it."""
    made: dict[str, Node] = {}
    for name, car in cars.items():
        made[name] = work(
            law.load_under_braking, "Front share that suits", "%", load=car.front, braking=_stated(), moved=car.moved
        )
    for key, before, after in (("balance_shift", "before", "empty"), ("balance_shift_laden", "before_laden", "laden")):
        moved = work(law.shift, "How far it moved", "%", before=made[before], after=made[after])
        sheet.add(f"brakes.{key}", moved)


def _most_behind_valve(case: Case, share: Node, cars: dict[str, Stance], name: str) -> Node | None:
    """The most that the rear brakes do behind the limiting valve, where there is one."""
    brakes = case.build.donor.brakes
    if not brakes.limiting_valve:
        return None
    label = "Braking of the donor at which the limiting valve closes"
    reason = "usual for a limiting valve; read its pressure on two gauges, and enter donor.brakes.valve_from"
    knee = (
        case.leaf(brakes.valve_from, label)
        if brakes.valve_from
        else assumed_between(label, "1", reason, 0.3, 0.5, "donor.brakes.valve_from")
    )
    masses = {"before": cars["before"].mass, "mass": cars[name].mass}
    return work(law.valve_limit, "Most braking of the rear, behind its valve", front_share=share, knee=knee, **masses)


def _rear_first(case: Case, sheet: Sheet, share: Node, cars: dict[str, Stance], name: str) -> None:
    most, inputs = _most_behind_valve(case, share, cars, name), {"front_share": share, **cars[name].axle("front")}
    label = "Braking from which the rear locks first"
    found = (
        work(law.equal_adhesion, label, **inputs)
        if most is None
        else work(law.equal_adhesion_with_valve, label, **inputs, most=most)
    )
    sheet.add(f"brakes.rear_first_above_{name}", found)


def _adhesion(case: Case, sheet: Sheet, share: Node, cars: dict[str, Stance], name: str) -> None:
    """Grip that each axle needs in a hard stop on the friction brakes alone."""
    stated, most = _stated(), _most_behind_valve(case, share, cars, name)
    rear = work(law.rear_braking, "Braking of the rear", front_share=share, braking=stated)
    if most is not None:
        rear = least("Braking of the rear", [rear, most])
    done = {"rear": rear, "front": work(law.front_braking, "Braking of the front", braking=stated, rear=rear)}
    for axle, braking in done.items():
        load = work(law.load_under_braking, f"Load on the {axle} axle", **cars[name].axle(axle), braking=stated)
        used = work(law.adhesion_used, "Grip that it needs", braking=braking, load=load)
        sheet.add(f"brakes.adhesion_{axle}_{name}", used)


def _shares(share: Node) -> dict[str, Node]:
    """What each axle does of the friction braking, as long as no valve closes."""
    one = constant(1.0, "1", "Braking", "a braking of 1, for the share", "z")
    return {
        "front": share,
        "rear": work(law.rear_braking, "Rear share of the brakes", "%", front_share=share, braking=one),
    }


def _stopping(sheet: Sheet, share: Node, car: Stance) -> None:
    """On a dry road with brakes that are strong enough: as hard as can be before an axle locks."""
    locks = [
        work(
            law.lock_by_friction,
            f"Braking at which the {axle} axle locks",
            grip=dry_grip(),
            share=each,
            **car.axle(axle),
        )
        for axle, each in _shares(share).items()
    ]
    slowing = work(
        law.slowing, "Slowing", braking=least("Braking at which an axle locks", locks), gravity=standard_gravity()
    )
    sheet.add("brakes.deceleration_dry", slowing)
    delay = constant(BRAKES_COME_ON, "s", "Time in which the brakes come on", "0.10 V of the laws on stopping", "t")
    speed = constant(STOP_FROM, "km/h", "Speed", CONDITION, "v")
    distance = work(
        law.stopping_distance, "Way to a stop", speed=speed, delay=delay, slowing=sheet.nodes["brakes.deceleration_dry"]
    )
    sheet.add("brakes.stopping_distance", distance)


def _wet(case: Case, sheet: Sheet, share: Node, car: Stance) -> None:
    """On a wet road, with a driver alone: without the motor and with it."""
    shares, grip = _shares(share), wet_grip()
    for axle, each in shares.items():
        lock = work(law.lock_by_friction, "Braking at which it locks", grip=grip, share=each, **car.axle(axle))
        sheet.add(f"brakes.lock_{axle}_wet", lock)
    forces, why = _motor_forces(case, sheet)
    if not forces:
        for key in ("regeneration_braking", "lock_front_wet_regen", "lock_rear_wet_regen"):
            sheet.lack(f"brakes.{key}", why)
        return
    ways = [
        work(law.braking_of_force, each.label, force=each, mass=car.mass, gravity=standard_gravity()) for each in forces
    ]
    most = least("Braking of the motor", ways)
    _foot_off(case, sheet, ways, car)
    part = case.leaf(case.build.drive.regeneration.share, "Share of a braking that the motor takes", "%")
    for axle, each in shares.items():
        to_axle = _motor_on(case, axle)
        laws = law.lock_where_motor_brakes if to_axle.value >= each.value else law.lock_where_motor_spares
        lock = work(
            laws, "Braking at which it locks", grip=grip, share=each, to_axle=to_axle, motor_share=part, motor_most=most,
            **car.axle(axle),
        )  # fmt: skip
        sheet.add(f"brakes.lock_{axle}_wet_regen", lock)


def _foot_off(case: Case, sheet: Sheet, ways: list[Node], car: Stance) -> None:
    """How hard the motor alone slows the car on a dry road: the wheels that it brakes hold no more than their grip."""
    label, driven, grip = "limited by the grip of the driven tyres", case.build.donor.drive_line.driven_axle, dry_grip()
    every = {
        "load": _whole("Load on all wheels"),
        "moved": constant(0.0, "1", "Load that leaves them", "all brake"),
    }
    axle = every if driven == "both" else car.axle(driven)
    holds = work(law.lock_by_friction, label, grip=grip, share=_whole("Share of the braking"), **axle)
    braking = least("Braking by the motor alone", [*ways, holds])
    sheet.add("brakes.regeneration_braking", work(law.slowing, "Slowing", braking=braking, gravity=standard_gravity()))


def _whole(label: str) -> Node:
    return constant(1.0, "%", label, "the motor brakes alone")


def _motor_on(case: Case, axle: str) -> Node:
    driven = case.build.donor.drive_line.driven_axle
    value = 0.5 if driven == "both" else float(driven == axle)
    return constant(
        value, "%", f"Share of the motor's braking on the {axle} axle", f"donor.drive_line.driven_axle: {driven}"
    )


def _motor_forces(case: Case, sheet: Sheet) -> tuple[list[Node], str]:
    """What the motor may brake at 50 km/h in the lowest gear: by its torque, and by what the pack takes; or none, and why."""
    gears, why = gears_of(case)
    radius, power = wheel_radius(case), sheet.nodes.get("drive.regen_power")
    if gears is None or power is None:
        return [], why or sheet.reasons.get("drive.regen_power", "")
    if radius is None:
        return [], "the marking of the driven tyres says no size"
    if case.build.drive.regeneration.share.value <= 0.0:
        return [], "the motor takes nothing of a braking (drive.regeneration.share)"
    return [_by_torque(case, gears, radius), _by_power(power)], ""


def _by_torque(case: Case, gears: Gears, radius: Node) -> Node:
    assert case.motor is not None
    torque = braking_torque(case, case.motor, case.inverter)
    inputs = {"ratio": gears.lowest, "efficiency": gears.efficiency, "wheel_radius": radius}
    return work(law.regeneration_force, "limited by the torque of the motor", torque=torque, **inputs)


def _by_power(power: Node) -> Node:
    reason = "usual for gears, motor and inverter together; log the pack's power while the motor brakes"
    efficiency = assumed_between("Share of the motor's braking that comes into the pack", "%", reason, 0.75, 0.90)
    speed = constant(MOTOR_BRAKES_AT, "km/h", "Speed", CONDITION, "v")
    return work(law.force_of_power, "limited by what the pack takes", power=power, efficiency=efficiency, speed=speed)
