"""What coupling, final drive, half shafts and mounts get of the motor's torque, against what they bear.

What nobody rated is held against what the old engine gave in its lowest gear: that much it bore for years.
"""

from __future__ import annotations

from voltwright.assess.case import Case
from voltwright.assess.drive import gears_of
from voltwright.assess.motor_model import braking_torque, peak_torque
from voltwright.assess.reversing import backwards_by_motor
from voltwright.assess.sheet import Sheet, assumed_between
from voltwright.parts.drive import GearUnit
from voltwright.physics import drive_line as law
from voltwright.physics import motor
from voltwright.quantity.provenance import Origin
from voltwright.quantity.work import Node, leaf, least, work

LINE = "donor.drive_line"
FINAL = ("drive.final_drive_torque", "drive.final_drive_torque_used", "drive.coast_torque_used",
         "drive.coast_torque_used_reverse")  # fmt: skip
SHAFTS = ("drive.half_shaft_torque", "drive.half_shaft_torque_used")
MOUNTS = ("drive.mount_torque", "drive.mount_torque_used", "drive.mount_force")
COUPLING = "drive.coupling_torque_used"
GEARBOX = ("drive.gearbox_torque_used_braking", "drive.gearbox_torque_used_reverse")
NO_BRAKING = "the motor does not brake (drive.regeneration.share)"
NO_ENGINE = (
    f"what it bears is not known, nor what the old engine gave in its lowest gear ({LINE}.engine_torque and ratios)"
)


def assess_shafts(case: Case, sheet: Sheet) -> None:
    """Coupling, final drive and half shafts."""
    torque, why = _torque(case)
    if torque is None or "drive.wheel_torque_peak" not in sheet.nodes:
        for key in (COUPLING, *GEARBOX, *FINAL, *SHAFTS):
            sheet.lack(key, why or sheet.reasons.get("drive.wheel_torque_peak", "the gears are not known"))
        return
    bears = case.build.drive.gearing.coupling_torque
    if bears is None:
        sheet.lack(COUPLING, "what coupling or clutch bear is not known (drive.gearing.coupling_torque)")
    else:
        rated = case.leaf(bears, "Torque that the coupling bears")
        sheet.add(COUPLING, work(motor.share_of_rating, "Torque used", torque=torque, rated=rated))
    _final_drive(case, sheet, torque)
    _gearbox_coasting(case, sheet, torque)
    shaft = sheet.add(
        "drive.half_shaft_torque",
        work(law.half_shaft_torque, "Half shaft", axle=sheet.nodes["drive.wheel_torque_peak"]),
    )
    _used(sheet, "drive.half_shaft_torque_used", shaft, half_shaft_bears(case))


def _torque(case: Case) -> tuple[Node | None, str]:
    """Peak torque of the motor, or why it is not known."""
    if case.motor is None or case.inverter is None:
        return None, "the build names no motor" if case.motor is None else "the build names no inverter"
    return peak_torque(case, case.motor, case.inverter), ""


def _used(sheet: Sheet, key: str, torque: Node, bears: Node | None) -> None:
    if bears is None:
        sheet.lack(key, NO_ENGINE)
    else:
        sheet.add(key, work(motor.share_of_rating, "Torque used", torque=torque, rated=bears))


def ratio_before_final(case: Case) -> Node | None:
    """Motor turns for one of the input of the donor's final drive, lowest gear used; None where that final drive is not driven."""
    gears, way = gears_of(case)[0], case.build.drive.gearing.way
    if gears is None or way == "axle-drive" or (way == "gear-unit" and _own_differential(case)):
        return None
    return gears.lowest.inputs["gear"]


def _own_differential(case: Case) -> bool:
    placed = case.build.drive.gearing.gear_unit
    return placed is not None and case.shelf.take(placed.part, GearUnit).differential


def old_engine(case: Case) -> Node | None:
    """What the old engine gave into the final drive in its lowest gear."""
    line = case.build.donor.drive_line
    if line.engine_torque is None or not line.gearbox.ratios:
        return None
    first = leaf(
        max(line.gearbox.ratios),
        "1",
        "Ratio of first gear",
        Origin("entered", where=f"{LINE}.gearbox.ratios"),
        symbol="i_g",
    )
    torque = case.leaf(line.engine_torque, "Torque of the old engine")
    return work(law.torque_after_gear, "What the old engine gave in first gear", torque=torque, ratio=first)


def final_drive_bears(case: Case) -> Node | None:
    """What the donor's final drive bears at its input: rated, or what the old engine gave."""
    rated = case.build.donor.drive_line.final_drive_torque
    return case.leaf(rated, "Torque that the final drive bears") if rated else old_engine(case)


def half_shaft_bears(case: Case) -> Node | None:
    """What one half shaft bears: rated, or what the old engine gave through gears of the same efficiency."""
    line, given = case.build.donor.drive_line, old_engine(case)
    if line.half_shaft_torque is not None:
        return case.leaf(line.half_shaft_torque, "Torque that a half shaft bears")
    if given is None or line.final_drive is None:
        return None
    final = leaf(line.final_drive, "1", "Final drive", Origin("entered", where=f"{LINE}.final_drive"), symbol="i_f")
    gears = case.leaf(case.build.drive.gearing.efficiency, "Efficiency of the gears", "%")
    both = work(motor.wheel_torque, "Old engine, at the wheels", torque=given, ratio=final, efficiency=gears)
    return work(law.half_shaft_torque, "Old engine, at each half shaft", axle=both)


def _final_drive(case: Case, sheet: Sheet, torque: Node) -> None:
    ratio = ratio_before_final(case)
    if ratio is None:
        for key in FINAL:
            sheet.lack(key, "the donor's final drive is not driven")
        return
    bears = final_drive_bears(case)
    into = work(law.torque_after_gear, "Torque into the final drive", torque=torque, ratio=ratio)
    _used(sheet, "drive.final_drive_torque_used", sheet.add("drive.final_drive_torque", into), bears)
    backwards = _backwards(case, torque)
    for key, coasting, why in (
        ("drive.coast_torque_used", _braking(case), NO_BRAKING),
        ("drive.coast_torque_used_reverse", backwards, "the motor does not turn backwards"),
    ):
        if coasting is None:
            sheet.lack(key, why)
            continue
        coast = work(law.torque_after_gear, "Torque on the coast side", torque=coasting, ratio=ratio)
        _used(sheet, key, coast, coast_bears(case, bears))


def _gearbox_coasting(case: Case, sheet: Sheet, torque: Node) -> None:
    """The old gearbox while the motor brakes or turns it backwards: it was made to be driven one way."""
    kept, rated = case.build.drive.gearing.way == "gearbox-kept", case.build.donor.drive_line.gearbox.torque_max
    guess = "a guess, no source: the two flanks of helical teeth are alike, but thrust, bearings and dogs were made for one way"
    share = assumed_between("Coast side: share of what the gearbox bears", "%", guess, 0.6, 1.0)
    for key, coasting, why in zip(
        GEARBOX,
        (_braking(case), _backwards(case, torque)),
        (NO_BRAKING, "no motor turns the old gearbox backwards"),
        strict=True,
    ):
        if not kept or coasting is None:
            sheet.lack(key, why if kept else "no old gearbox is between motor and axle")
        elif rated is None:
            sheet.lack(key, "the torque that the gearbox bears is not known (donor.drive_line.gearbox.torque_max)")
        else:
            bears = case.leaf(rated, "Torque that the gearbox bears")
            coast = work(law.coast_side, "Torque that the coast side bears", share=share, bears=bears)
            sheet.add(key, work(motor.share_of_rating, "Torque used", torque=coasting, rated=coast))


def coast_bears(case: Case, bears: Node | None) -> Node | None:
    """What the final drive bears on its coast side."""
    if bears is None:
        return None
    label, entered = "Coast side: share of what the final drive bears", case.build.donor.drive_line.coast_share
    usual = f"usual for hypoid and spiral bevel gears, no source; ask the gear maker ({LINE}.coast_share)"
    share = case.leaf(entered, label, "%") if entered else assumed_between(label, "%", usual, 0.6, 0.8)
    return work(law.coast_side, "Torque that the coast side bears", share=share, bears=bears)


def _braking(case: Case) -> Node | None:
    if case.motor is None or not case.build.drive.regeneration.share.value:
        return None
    return braking_torque(case, case.motor, case.inverter)


def _backwards(case: Case, torque: Node) -> Node | None:
    """Torque of a motor that turns backwards; None where a gear reverses, as it did for the old engine."""
    gearing = case.build.drive.gearing
    if not backwards_by_motor(case):
        return None
    if gearing.reverse_torque is None:
        return torque
    return least("Torque backwards", [torque, case.leaf(gearing.reverse_torque, "Torque backwards that is set")])


def casing_ratio(case: Case) -> Node | None:
    """Motor turns for one of what leaves the casing that motor and gears share, in the lowest gear used."""
    gears, way = gears_of(case)[0], case.build.drive.gearing.way
    if gears is None:
        return None
    before = ratio_before_final(case)
    return gears.lowest if before is None or (way == "gearbox-kept" and is_transaxle(case)) else before


def is_transaxle(case: Case) -> bool:
    """Whether the donor's gearbox and final drive are in one casing."""
    line = case.build.donor.drive_line
    return line.driven_axle == "front" if line.transaxle is None else line.transaxle


def assess_mounts(case: Case, sheet: Sheet) -> None:
    """The torque about the axis of what is turned, which the mounts of motor and gears hold."""
    torque, why = _torque(case)
    ratio, mounts = casing_ratio(case), case.build.drive.mounts
    if torque is None or ratio is None:
        for key in MOUNTS:
            sheet.lack(key, why or "the gears are not known")
        return
    held = sheet.add("drive.mount_torque", work(law.torque_after_gear, "Torque", torque=torque, ratio=ratio))
    _used(sheet, "drive.mount_torque_used", held, _old_mounts(case))
    if mounts is None:
        sheet.lack("drive.mount_force", "nothing is known of the mounts (drive.mounts)")
        return
    spacing = case.leaf(mounts.spacing, "Spacing of the mounts", "mm")
    sheet.add("drive.mount_force", work(law.mount_force, "Force", torque=held, spacing=spacing))


def _old_mounts(case: Case) -> Node | None:
    """What the mounts of the old engine held in its lowest gear."""
    given, line = old_engine(case), case.build.donor.drive_line
    if given is None or not is_transaxle(case):
        return given
    if line.final_drive is None:
        return None
    final = leaf(line.final_drive, "1", "Final drive", Origin("entered", where=f"{LINE}.final_drive"), symbol="i_f")
    return work(law.torque_after_gear, "What the old engine gave its mounts", torque=given, ratio=final)
