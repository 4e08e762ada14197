"""Coupling, final drive and half shafts under the new torque, forwards and on the coast side."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.assess.motor_model import braking_torque as braking_of
from voltwright.assess.shafts import ratio_before_final
from voltwright.quantity.figure import fixed
from voltwright.rules.clause import arithmetic, maker, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, apart, exceeds, likely
from voltwright.rules.rule import rule
from voltwright.rules.ways import (
    less_backwards,
    less_braking,
    less_torque,
    one_gear,
    reverse_by_gear,
)

ONE_WAY = practice("a gearbox was made to be driven one way; 60 to 100 % of its rating the other way is a guess")
_RATING = maker("the maker's rating")
_OLD = arithmetic("what the old engine gave in its lowest gear, which these parts bore for years")


def _bears(seen: Assessed, torque: str, used: str) -> tuple[float, float] | None:
    """A torque and what bears it, where it is too much. [N·m]"""
    share, value = seen.si(used), seen.si(torque)
    return None if share is None or value is None or not exceeds(share, 1.0) else (value, value / share)


@rule("drive_line")
def coupling(seen: Assessed) -> Iterator[Finding]:
    """Does the coupling or the kept clutch bear the motor's torque?"""
    used, rated = seen.si("drive.coupling_torque_used"), seen.case.build.drive.gearing.coupling_torque
    if used is None or rated is None or not exceeds(used, 1.0):
        return
    said = apart(seen.torque, used * rated.value, rated.value)
    yield Finding(
        key="drive.coupling_torque",
        severity="stop",
        title="The coupling gets more torque than it bears",
        detail=f"The motor gives {said.value} at a standstill already. A clutch slips and burns; a coupling shears.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=_RATING,
        remedy="Or a stronger coupling (drive.gearing.coupling_torque).",
        ladders=(less_torque(seen, 1 / used),),
    )


@rule("drive_line")
def final_drive(seen: Assessed) -> Iterator[Finding]:
    """Does the final drive bear the torque of the lowest gear?"""
    over, rated = (
        _bears(seen, "drive.final_drive_torque", "drive.final_drive_torque_used"),
        seen.case.build.donor.drive_line.final_drive_torque,
    )
    if over is None or rated is None:
        return
    said = apart(seen.torque, over[0], over[1])
    yield Finding(
        key="drive.final_drive_torque",
        severity="stop",
        title="The final drive gets more torque than it bears",
        detail=f"In the lowest gear {said.value} go into it.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=_RATING,
        remedy="Or leave out the lowest gear, or fit a stronger final drive.",
        ladders=(less_torque(seen, over[1] / over[0]), one_gear(seen)),
    )


@rule("drive_line")
def old_engine(seen: Assessed) -> Iterator[Finding]:
    """Do final drive and half shafts that nobody rated get more torque than the old engine gave?"""
    line = seen.case.build.donor.drive_line
    parts = [
        (name, over)
        for name, rated, key in (
            ("final drive", line.final_drive_torque, "drive.final_drive_torque"),
            ("half shafts", line.half_shaft_torque, "drive.half_shaft_torque"),
        )
        if rated is None and (over := _bears(seen, key, f"{key}_used")) is not None
    ]
    if not parts:
        return
    (name, (torque, bore)), *_ = parts
    both = " and ".join(each for each, _ in parts)
    key = "drive.final_drive_torque_used" if name == "final drive" else "drive.half_shaft_torque_used"
    said = apart(seen.torque, torque, bore)
    yield Finding(
        key="drive.old_engine_torque",
        severity="caution",
        title="The drive line gets more torque than the old engine gave",
        detail=f"Lowest gear, {both}: {fixed(torque / bore, 2)} times what the old engine gave there at its best ({name}: "
        f"{said.value} against {said.limit}). The motor gives that from a standstill on, at every start.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=_OLD,
        likelihood=likely(seen.failing(key, 1.0, f"the {name} gets no more torque than before")),
        remedy="Or find the ratings of the parts and enter them (donor.drive_line.final_drive_torque, half_shaft_torque); the strongest "
        "engine that the maker fitted to the same axle is a good sign. Let the torque rise slowly.",
        ladders=(less_torque(seen, bore / torque), one_gear(seen)),
    )


@rule("drive_line")
def line_unknown(seen: Assessed) -> Iterator[Finding]:
    """Is it known what coupling, final drive and half shafts bear?"""
    asked = {
        "coupling or clutch": ("drive.coupling_torque_used", seen.case.build.drive.gearing.way != "axle-drive"),
        "final drive": ("drive.final_drive_torque_used", ratio_before_final(seen.case) is not None),
        "half shafts": ("drive.half_shaft_torque_used", "drive.half_shaft_torque" in seen.sheet.nodes),
    }
    unknown = [name for name, (key, driven) in asked.items() if driven and seen.si(key) is None]
    torque = seen.si("drive.half_shaft_torque")
    if not unknown or torque is None:
        return
    words = ", ".join(unknown)
    yield Finding(
        key="drive.line_unknown",
        severity="note",
        title="Nobody knows what parts of the drive line bear",
        detail=f"Not judged under the new torque: {words}. In the lowest gear each half shaft gets {seen.torque(torque)}.",
        value=words,
        clause=maker("the makers' ratings, or what the donor's engine gave"),
        remedy="Enter donor.drive_line.engine_torque from the papers of the old engine, which is what the old parts bore, and "
        "drive.gearing.coupling_torque from the maker of the coupling or clutch.",
    )


@rule("drive_line")
def coast_side(seen: Assessed) -> Iterator[Finding]:
    """Do the weaker flanks of the final drive bear the braking and the reversing motor?"""
    if (used := seen.si("drive.coast_torque_used")) is not None and exceeds(used, 1.0):
        yield _coasting(seen, "drive.coast_torque", used, "brakes", (less_braking(seen, 1 / used),))
    if (used := seen.si("drive.coast_torque_used_reverse")) is not None and exceeds(used, 1.0):
        ways = (less_backwards(seen, 1 / used), reverse_by_gear(seen))
        yield _coasting(seen, "drive.coast_torque_reverse", used, "turns backwards", ways)


def _coasting(seen: Assessed, key: str, used: float, what: str, ladders: tuple[Ladder, ...]) -> Finding:
    node = seen.sheet.nodes["drive.coast_torque_used" + ("_reverse" if "reverse" in key else "")]
    torque = float(node.inputs["torque"].value)
    said = apart(seen.torque, torque, torque / used)
    return Finding(
        key=key,
        severity="caution",
        title=f"The final drive may not bear the motor when it {what}",
        detail=f"In the lowest gear {said.value} act on the coast flanks of the final drive, and its pinion is drawn the "
        f"other way. They are taken to bear {said.limit}. The old engine hardly ever loaded them.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=practice("the coast side of hypoid gears bears 60 to 80 % of the drive side"),
        remedy="Or find what the gear maker says of the coast side (donor.drive_line.coast_share). Look after the oil, the play of the "
        "pinion and its nut.",
        ladders=ladders,
    )


@rule("drive_line", "drive")
def braking_torque(seen: Assessed) -> Iterator[Finding]:
    """Do gearbox and coupling bear the braking motor, which the limit for driving does not hold?"""
    motor, drive = seen.case.motor, seen.case.build.drive
    if motor is None or not drive.regeneration.share.value:
        return
    limit, torque = drive.regeneration.torque, float(braking_of(seen.case, motor, seen.case.inverter).value)
    kept = drive.gearing.way == "gearbox-kept"  # its coast flanks bear it; a gear unit is made for both
    rated = seen.sheet.nodes.get("drive.gearbox_torque_used_braking" if kept else "drive.gearbox_torque_used")
    bear = {"gearbox": float(rated.inputs["rated"].value)} if rated else {}
    if drive.gearing.coupling_torque is not None:
        bear["coupling"] = drive.gearing.coupling_torque.value
    if not bear:
        return
    name = min(bear, key=lambda each: bear[each])
    if not exceeds(torque, bear[name]):
        return
    said = apart(seen.torque, torque, bear[name])
    yield Finding(
        key="drive.braking_torque",
        severity="caution",
        title=f"The braking motor gives the {name} more torque than it bears",
        detail=f"Regeneration is {'set to' if limit else 'not limited, so it may be'} {said.value}; the {name} bears "
        f"{said.limit}{' on the coast flanks' if kept and name == 'gearbox' else ''}. "
        "The torque limit for driving does not hold it.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=ONE_WAY if kept and name == "gearbox" else maker("the maker's rating, or what the donor's engine gave"),
        ladders=(less_braking(seen, bear[name] / torque),),
    )
