"""What is missing, and what contradicts itself."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.quantity.figure import amount
from voltwright.quantity.units import Unit
from voltwright.rules.clause import maker, practice
from voltwright.rules.finding import Assessed, Finding, apart
from voltwright.rules.rule import rule
from voltwright.rules.ways import fewer_seats

TOLERANCE = 0.02  # common practice: two weighings of one car agree within 2 %


@rule()
def axles_and_whole(seen: Assessed) -> Iterator[Finding]:
    """Do the axle masses add up to the kerb mass?"""
    donor = seen.case.build.donor
    if donor.axles.front is None or donor.axles.rear is None:
        return
    parts, whole = donor.axles.front.value + donor.axles.rear.value, donor.mass_kerb.value
    if abs(parts - whole) <= TOLERANCE * whole:
        return
    said = apart(seen.kg, abs(parts - whole), TOLERANCE * whole)
    yield Finding(
        key="data.axles",
        severity="caution",
        title="The axle masses do not add up to the kerb mass",
        detail=f"Front and rear axle make {seen.kg(parts)}; the kerb mass is entered as {seen.kg(whole)}.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=practice("weighings agree within 2 %"),
        remedy="Weigh again: both axles and the whole car on the same day, level, brakes off.",
    )


@rule()
def axle_heavier_than_car(seen: Assessed) -> Iterator[Finding]:
    """Is a lone axle mass less than that of the car?"""
    donor = seen.case.build.donor
    for name, axle in (("front", donor.axles.front), ("rear", donor.axles.rear)):
        if axle is not None and axle.value >= donor.mass_kerb.value:
            said = apart(seen.kg, axle.value, donor.mass_kerb.value)
            yield Finding(
                key=f"data.axle_{name}",
                severity="stop",
                title=f"The {name} axle is entered heavier than the car",
                detail=f"The {name} axle has {said.value}, the car {said.limit}.",
                limit=said.limit,
                value=said.value,
                margin=said.margin,
                remedy="Weigh again.",
            )


@rule("mass")
def more_out_than_in(seen: Assessed) -> Iterator[Finding]:
    """Is less taken out than a car can lose?"""
    out, whole = seen.si("mass.removed"), seen.case.build.donor.mass_kerb.value
    if out is not None and out >= 0.7 * whole:
        said = apart(seen.kg, out, 0.7 * whole)
        yield Finding(
            key="data.removed",
            severity="stop",
            title="More comes out than a car can lose",
            detail=f"{said.value} come out of a car of {seen.kg(whole)}.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=practice("a body with its axles is at least 30 % of a car"),
            remedy="Check the masses under donor.removed.",
        )


@rule()
def modules_and_boxes(seen: Assessed) -> Iterator[Finding]:
    """Are all modules in boxes?"""
    pack = seen.case.build.pack
    boxed = sum(box.modules for box in pack.boxes)
    if boxed == pack.module_count:
        return
    yield Finding(
        key="data.boxes",
        severity="stop",
        title="The boxes do not hold the pack",
        detail=f"{pack.series} in series × {pack.parallel} in parallel are {pack.module_count} modules; the boxes hold {boxed}. "
        f"The car's mass counts only the {boxed} in boxes.",
        limit=f"{pack.module_count} modules",
        value=f"{boxed} modules",
        margin=f"{boxed - pack.module_count} modules".replace("-", "−"),
        remedy="Say under pack.boxes where each module lies: its mass and place count.",
    )


@rule()
def people_and_seats(seen: Assessed) -> Iterator[Finding]:
    """Has the car the seats that the brief asks?"""
    asked, places = seen.case.build.brief.seats, sum(seat.places for seat in seen.case.build.donor.seats)
    if asked > places:
        yield Finding(
            key="data.seats",
            severity="stop",
            title="The brief asks more seats than the car has",
            detail=f"The brief asks {asked}; the donor has {places}.",
            limit=f"{places} seats",
            value=f"{asked} seats",
            margin=f"{places - asked} seats".replace("-", "−"),
            remedy="A seat that is added needs belts, anchorages and an inspection.",
            ladders=(fewer_seats(seen),),
        )


@rule()
def limits_known(seen: Assessed) -> Iterator[Finding]:
    """Are the limits known against which the masses are judged?"""
    limits = seen.case.build.donor.limits
    wanted = {"gross": limits.gross, "front_axle": limits.front_axle, "rear_axle": limits.rear_axle}
    missing = [f"donor.limits.{name}" for name, entry in wanted.items() if entry is None]
    if missing:
        yield Finding(
            key="data.limits",
            severity="caution",
            title="A limit is not known, so nothing was judged against it",
            detail=f"Missing: {', '.join(missing)}.",
            clause=maker("the donor's plate or papers"),
            remedy="Read them from the plate, the papers or the maker's data, and enter them.",
        )


@rule()
def drive_named(seen: Assessed) -> Iterator[Finding]:
    """Are motor and inverter named?"""
    drive = seen.case.build.drive
    missing = [name for name, part in (("motor", drive.motor), ("inverter", drive.inverter)) if part is None]
    if missing:
        yield Finding(
            key="data.drive",
            severity="caution",
            title=f"The build names no {' and no '.join(missing)}",
            detail="Its mass is not in the sums, and nothing is judged against it.",
            remedy=f"Name it under drive.{missing[0]}.",
        )


@rule()
def charger_named(seen: Assessed) -> Iterator[Finding]:
    """Can the car be charged?"""
    if seen.case.charger is None:
        yield Finding(
            key="data.charger",
            severity="caution",
            title="The build names no charger",
            detail="Its mass and price are not in the sums, and nothing is judged against it.",
            remedy="Name it under charging.charger, and the inlet under charging.inlet.",
        )


@rule()
def cooling_named(seen: Assessed) -> Iterator[Finding]:
    """Has a part that is cooled by liquid a pump and a radiator?"""
    case = seen.case
    cooled = [
        part.title
        for part in (case.motor, case.inverter, case.charger)
        if part is not None and part.cooling == "liquid"
    ]
    fitted = {placed.part.split("/")[0] for placed in case.build.fitted}
    missing = [kind for kind in ("pump", "radiator") if kind not in fitted]
    if cooled and missing:
        yield Finding(
            key="data.cooling",
            severity="caution",
            title="Parts are cooled by liquid and the build names no " + " and no ".join(missing),
            detail=f"Cooled by liquid: {'; '.join(cooled)}. Mass and price of what cools them are not in the sums.",
            remedy="Name pump and radiator under fitted, and coolant and pipes under extras.",
        )


@rule()
def kerb_mass_sure(seen: Assessed) -> Iterator[Finding]:
    """Is the donor weighed, or is it said how unsure its mass is?"""
    mass = seen.case.build.donor.mass_kerb
    if mass.origin.how != "measured" and mass.spread.is_exact:
        yield Finding(
            key="data.kerb_mass",
            severity="caution",
            title="The donor's mass is neither weighed nor given a spread",
            detail=f"{mass.text} is entered as if it were exact; brochures are often wrong by 5 %.",
            limit="weighed, or with a spread",
            value=mass.text,
            clause=practice(),
            remedy="Weigh the car, axle by axle, or write the mass with its spread, such as 980 kg ± 40 kg.",
        )


@rule()
def module_and_cells(seen: Assessed) -> Iterator[Finding]:
    """Does the module's datasheet agree with that of its cells?"""
    module, cell = seen.case.module, seen.case.cell
    pairs = (
        ("nominal voltage", module.voltage_nominal, module.voltage_of(cell), "V"),
        ("capacity", module.capacity, module.capacity_of(cell), "Ah"),
    )
    for name, entry, of_cells, unit in pairs:
        if entry is None or abs(entry.value - of_cells) <= 0.1 * of_cells:
            continue
        cells = amount(Unit(unit).from_si(of_cells), Unit(unit), 1, "metric")
        yield Finding(
            key=f"data.module_{name.replace(' ', '_')}",
            severity="stop",
            title=f"The module's {name} is not that of its cells",
            detail=f"{module.title} states {entry.text}; its cells make {cells}.",
            limit=cells,
            value=entry.text,
            clause=practice("datasheets of module and cells agree within 10 %"),
            remedy="Check the datasheet: units, and the number of groups and cells.",
        )
