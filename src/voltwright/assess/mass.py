"""What does it weigh, and where?

Everything is a mass at a place: x behind the front axle, y left of the middle, z above the ground.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from voltwright.assess.case import Case
from voltwright.assess.keys import KEYS, question_of
from voltwright.assess.sheet import Sheet, assumed, assumed_between, constant, nothing
from voltwright.build.donor import Donor, Place, Thing
from voltwright.build.fitted import Extra, Placed
from voltwright.parts.tyres import TyreMarking, marking_or_none
from voltwright.physics import mass as law
from voltwright.quantity.entry import Entry
from voltwright.quantity.work import Node, total, work

AXES = ("x", "y", "z")
_ARM = {"x": "behind the front axle", "y": "left of the middle", "z": "above the ground"}


@dataclass(frozen=True)
class Item:
    """A mass and its place on the three axes, as leaves of the working."""

    name: str
    mass: Node
    at: dict[str, Node] = field(default_factory=dict[str, Node])

    def moment(self, axis: str) -> Node:
        return work(law.moment, f"Moment of {self.name}", mass=self.mass, arm=self.at[axis])


# Things, and the sum of their masses.
Gathered = tuple[list[Item], Node]
_NOBODY: Gathered = ([], nothing("Nothing comes out", "kg"))


@dataclass(frozen=True)
class Body:
    """A whole: its mass, and its centre on the three axes."""

    mass: Node
    centre: dict[str, Node]

    def moment(self, axis: str, label: str) -> Node:
        return work(law.moment, label, mass=self.mass, arm=self.centre[axis])


def assess_mass(case: Case, sheet: Sheet) -> None:
    """Enter every figure of the question `mass`."""
    out, goes_in = removed_items(case), added_items(case)
    taken = sheet.add("mass.removed", _sum_of("What comes out", out))
    added = sheet.add("mass.added", _sum_of("What goes in", goes_in))
    if case.build.donor.mass_kerb.value - taken.value + added.value <= 0:
        for key in (key for key in KEYS if question_of(key) == "mass" and key not in sheet.nodes):
            sheet.lack(key, "nothing is left of the car")
        return
    donor = _entered(sheet, donor_body(case), {"x": "mass.cg_x_before", "z": "mass.cg_height_before"})
    kerb = _entered(sheet, changed_body(donor, (out, taken), (goes_in, added), "kerb"), _keys(""), "mass.kerb")
    laden = _entered(sheet, laden_body(case, kerb, "laden"), _keys("_laden"), "mass.laden")
    before = _axles(case, sheet, donor, "_before")
    after = _axles(case, sheet, kerb, "")
    full = _axles(case, sheet, laden, "_laden")
    _payload(case, sheet)
    for axle in ("front", "rear"):
        _ride(case, sheet, axle, before[axle], after[axle], full[axle])
        _tyres(case, sheet, axle)


def _keys(suffix: str) -> dict[str, str]:
    return {"x": f"mass.cg_x{suffix}", "y": f"mass.cg_y{suffix}", "z": f"mass.cg_height{suffix}"}


def _entered(sheet: Sheet, body: Body, centre: dict[str, str], mass: str | None = None) -> Body:
    """The body with its figures entered, so that later working refers to them."""
    placed = {axis: sheet.add(centre[axis], node) if axis in centre else node for axis, node in body.centre.items()}
    return Body(sheet.add(mass, body.mass) if mass else body.mass, placed)


def donor_body(case: Case) -> Body:
    """The donor as it was weighed."""
    donor = case.build.donor
    whole = case.leaf(donor.mass_kerb, "Kerb mass of the donor")
    left = case.leaf(donor.cg_left, "Centre of gravity of the donor left of the middle", "m") if donor.cg_left else None
    sideways = left or assumed(
        "Centre of gravity of the donor left of the middle", "m", "taken as in the middle; weigh each side", 0.0, 0.02
    )
    return Body(whole, {"x": _donor_x(case, donor, whole), "y": sideways, "z": _donor_height(case, donor, whole)})


def _donor_x(case: Case, donor: Donor, whole: Node) -> Node:
    label = "Centre of gravity of the donor behind the front axle"
    wheelbase = case.leaf(donor.size.wheelbase, "Wheelbase", "m")
    front, rear = donor.axles.front, donor.axles.rear
    if front is None and rear is None:
        share = assumed(
            "Share of the donor's mass on its front axle",
            "%",
            "usual with the engine in front; weigh one axle",
            0.53,
            0.04,
        )
        return work(law.centre_from_share, label, wheelbase=wheelbase, front_share=share)
    front_node = case.leaf(front, "Front axle of the donor") if front else None
    rear_node = case.leaf(rear, "Rear axle of the donor") if rear else None
    if front_node is None and rear_node is not None:
        front_node = work(law.mass_left, "Front axle of the donor", whole=whole, taken=rear_node)
    if rear_node is None and front_node is not None:
        rear_node = work(law.mass_left, "Rear axle of the donor", whole=whole, taken=front_node)
    assert front_node is not None
    assert rear_node is not None
    return work(law.centre_from_axles, label, wheelbase=wheelbase, front=front_node, rear=rear_node)


def _donor_height(case: Case, donor: Donor, whole: Node) -> Node:
    label = "Centre of gravity of the donor above the ground"
    lift = donor.cg_lift
    if lift is None:
        return case.leaf(donor.cg_height, label, "m")
    return work(
        law.centre_height_from_lift,
        label,
        wheel_radius=case.leaf(lift.wheel_radius, "Height of the wheel centres", "m"),
        wheelbase=case.leaf(donor.size.wheelbase, "Wheelbase", "m"),
        level_load_gain=case.leaf(lift.load_gain, "What the axle on the ground gained"),
        mass=whole,
        lift=case.leaf(lift.angle, "Angle to which the car was lifted", "°"),
    )


def changed_body(body: Body, out: Gathered, goes_in: Gathered, state: str) -> Body:
    """The body after some things left it and others came in."""
    mass = work(law.mass_after, f"Mass, {state}", before=body.mass, taken=out[1], added=goes_in[1])
    centre: dict[str, Node] = {}
    for axis in body.centre:
        moments = work(
            law.moment_after,
            f"Moment of the whole, {_ARM[axis]}",
            before=body.moment(axis, "Moment before"),
            taken=_moments_of("Moments of what comes out", out[0], axis),
            added=_moments_of("Moments of what goes in", goes_in[0], axis),
        )
        centre[axis] = work(law.centre, f"Centre of gravity {_ARM[axis]}, {state}", moment=moments, mass=mass)
    return Body(mass, centre)


def driven_body(case: Case, body: Body, state: str) -> Body:
    """The body with one person in the first seat."""
    driver = _at_place(case, case.build.donor.seats[0], case.leaf(case.build.person_mass, "One person"))
    return changed_body(body, _NOBODY, ([driver], driver.mass), state)


def laden_body(case: Case, body: Body, state: str) -> Body:
    """The body with the people and the load of the brief."""
    people = laden_items(case)
    return changed_body(body, _NOBODY, (people, _sum_of("People and load", people)), state)


def _sum_of(label: str, items: list[Item]) -> Node:
    return total(label, [item.mass for item in items]) if items else nothing(label, "kg")


def _moments_of(label: str, items: list[Item], axis: str) -> Node:
    return total(label, [item.moment(axis) for item in items]) if items else nothing(label, "kg·m")


def removed_items(case: Case) -> list[Item]:
    """What comes out of the donor."""
    return [_item(case, thing.name, thing, case.leaf(thing.mass, thing.name)) for thing in case.build.donor.removed]


def added_items(case: Case) -> list[Item]:
    """What goes in: parts, boxes with their modules, and what the workshop makes."""
    items = [_placed(case, path, placed) for path, placed in case.build.placed()]
    items += [_item(case, extra.name, extra, case.leaf(extra.mass, extra.name)) for extra in case.build.extras]
    return items + list(_boxes(case))


def _placed(case: Case, path: str, placed: Placed) -> Item:
    part = case.shelf.any(placed.part)
    if placed.mass is not None:
        mass = case.leaf(placed.mass, part.title)
    elif part.mass is not None:
        mass = case.leaf(part.mass, part.title)
    else:
        mass = assumed_between(part.title, "kg", f"{part.id} states no mass", 0.2, 3.0, where=f"{path}.mass")
    return _item(case, part.title, placed, mass)


def _boxes(case: Case) -> Iterator[Item]:
    each = case.leaf(case.module.mass, f"One module, {case.module.title}")
    for box in case.build.pack.boxes:
        count = constant(float(box.modules), "1", f"Modules in box {box.name}", "counted in pack.boxes", "n")
        modules = work(law.mass_of_several, f"Modules in box {box.name}", count=count, mass_each=each)
        whole = total(
            f"Box {box.name} with its modules", [case.leaf(box.mass, f"Box {box.name}, all but its modules"), modules]
        )
        yield Item(f"box {box.name}", whole, _place(case, box.name, box.x, box.y, box.z))


def laden_items(case: Case) -> list[Item]:
    """The people of the brief from the first seat backwards, and its load."""
    build = case.build
    person = case.leaf(build.person_mass, "One person")
    items: list[Item] = []
    left = build.brief.seats
    for seat in build.donor.seats:
        here = min(left, seat.places)
        left -= here
        if here:
            count = constant(float(here), "1", f"People: {seat.name}", "brief.seats, from the first row backwards", "n")
            items.append(
                _at_place(case, seat, work(law.mass_of_several, f"People: {seat.name}", count=count, mass_each=person))
            )
    if build.brief.load.value:
        items.append(_at_place(case, build.donor.load_space, case.leaf(build.brief.load, "Load of the brief")))
    return items


def _at_place(case: Case, place: Place, mass: Node) -> Item:
    return Item(place.name, mass, _place(case, place.name, place.x, None, place.z))


def _item(case: Case, name: str, thing: Thing | Extra | Placed, mass: Node) -> Item:
    if thing.count > 1:
        count = constant(float(thing.count), "1", f"Number of {name}", "counted in the build", "n")
        mass = work(law.mass_of_several, f"{thing.count} × {name}", count=count, mass_each=mass)
    return Item(name, mass, _place(case, name, thing.x, thing.y, thing.z))


def _place(case: Case, name: str, x: Entry, y: Entry | None, z: Entry) -> dict[str, Node]:
    middle = constant(0.0, "m", f"{name}: left of the middle", "no y is named: in the middle")
    return {
        "x": case.leaf(x, f"{name}: behind the front axle", "m"),
        "y": case.leaf(y, f"{name}: left of the middle", "m") if y else middle,
        "z": case.leaf(z, f"{name}: above the ground", "m"),
    }


def _axles(case: Case, sheet: Sheet, body: Body, suffix: str) -> dict[str, Node]:
    wheelbase = case.leaf(case.build.donor.size.wheelbase, "Wheelbase", "m")
    inputs = {"mass": body.mass, "behind_front": body.centre["x"], "wheelbase": wheelbase}
    return {
        "front": sheet.add(f"mass.front_axle{suffix}", work(law.front_axle_load, "Front axle", **inputs)),
        "rear": sheet.add(f"mass.rear_axle{suffix}", work(law.rear_axle_load, "Rear axle", **inputs)),
    }


def _payload(case: Case, sheet: Sheet) -> None:
    gross = case.build.donor.limits.gross
    if gross is None:
        sheet.lack("mass.payload_left", "the permitted gross mass is not known (donor.limits.gross)")
        return
    limit = case.leaf(gross, "Permitted gross mass")
    sheet.add("mass.payload_left", work(law.mass_left, "Payload left", whole=limit, taken=sheet.nodes["mass.kerb"]))


def _ride(case: Case, sheet: Sheet, axle: str, before: Node, after: Node, laden: Node) -> None:
    springs = case.build.donor.suspension.front if axle == "front" else case.build.donor.suspension.rear
    unsprung = case.leaf(springs.unsprung_mass, f"Unsprung mass, {axle}")
    old = work(law.sprung_mass, f"Sprung mass before, {axle}", axle=before, unsprung=unsprung)
    new = work(law.sprung_mass, f"Sprung mass after, {axle}", axle=after, unsprung=unsprung)
    if old.value <= 0 or new.value <= 0:
        for key in (f"mass.ride_height_{axle}", f"mass.spring_factor_{axle}", f"mass.bump_travel_{axle}"):
            sheet.lack(key, f"the {axle} axle carries no more than its unsprung mass")
        return
    if springs.wheel_rate is not None:
        rate = case.leaf(springs.wheel_rate, f"Rate at each {axle} wheel")
    else:
        bounce = case.leaf(springs.bounce_frequency, f"Bounce of the body, {axle}")
        rate = work(law.wheel_rate_from_bounce, f"Rate at each {axle} wheel", "N/mm", bounce=bounce, sprung=old)
    gravity = constant(
        law.STANDARD_GRAVITY, "m/s²", "Standard gravity", "3rd General Conference on Weights and Measures, 1901", "g"
    )
    change = work(
        law.ride_height_change,
        "Change of ride height",
        "mm",
        before=old,
        after=new,
        gravity=gravity,
        wheel_rate=rate,
    )
    sheet.add(f"mass.ride_height_{axle}", change)
    sheet.add(f"mass.spring_factor_{axle}", work(law.spring_factor, "Spring factor", before=old, after=new))
    loaded = work(law.sprung_mass, f"Sprung mass laden, {axle}", axle=laden, unsprung=unsprung)
    sinks = work(law.ride_height_change, "Change of ride height, laden", "mm", before=old, after=loaded, gravity=gravity,
                 wheel_rate=rate)  # fmt: skip
    _bump_travel(case, sheet, axle, sinks)


def _bump_travel(case: Case, sheet: Sheet, axle: str, change: Node) -> None:
    key, springs = f"mass.bump_travel_{axle}", case.build.donor.suspension
    measured = springs.front.bump_travel if axle == "front" else springs.rear.bump_travel
    if measured is None:
        sheet.lack(key, f"the way to the bump stops is not known (donor.suspension.{axle}.bump_travel)")
        return
    before = case.leaf(measured, f"Bump travel of the donor, {axle}", "mm")
    sheet.add(key, work(law.travel_left, "Bump travel left", before=before, change=change))


def marking_of(case: Case, axle: str) -> TyreMarking | None:
    """The tyre marking of an axle, or None where the text is no marking."""
    tyres = case.build.donor.tyres
    return marking_or_none(tyres.front if axle == "front" else tyres.rear)


def _tyres(case: Case, sheet: Sheet, axle: str) -> None:
    tyres = case.build.donor.tyres
    entered = tyres.front_load_each if axle == "front" else tyres.rear_load_each
    marking = marking_of(case, axle)
    key = f"mass.tyre_reserve_{axle}"
    if entered is not None:
        each = case.leaf(entered, f"Load rating of one {axle} tyre")
    elif marking is not None and marking.load is not None:
        each = marking.load_node(f"Load rating of one {axle} tyre, index {marking.load_index}")
    else:
        sheet.lack(
            key,
            f"the marking '{tyres.front if axle == 'front' else tyres.rear}' names no load index; "
            "read it on the side wall or in the tyre maker's data",
        )
        return
    both = work(law.both_tyres, f"Both {axle} tyres", each=each)
    sheet.add(key, work(law.reserve, "Reserve", "%", carried=sheet.nodes[f"mass.{axle}_axle_laden"], allowed=both))
