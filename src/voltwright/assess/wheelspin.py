"""Does the road take the torque: when the driven wheels spin, dry and wet."""

from __future__ import annotations

from dataclasses import replace

from voltwright.assess.case import Case
from voltwright.assess.grip import wet_grip
from voltwright.assess.resistance import resistance_of, why_none
from voltwright.assess.road import grip_force
from voltwright.assess.sheet import Sheet
from voltwright.physics import drive_line as law
from voltwright.physics import motor
from voltwright.quantity.work import work


def assess_wheelspin(case: Case, sheet: Sheet) -> None:
    """Torque that spins the driven wheels of the laden car on the level, with the load that moves between the axles."""
    held, torque = resistance_of(case, sheet), sheet.nodes.get("drive.wheel_torque_peak")
    for road in ("dry", "wet"):
        most, used = f"drive.grip_torque_{road}", f"drive.grip_used_{road}"
        if held is None:
            sheet.lack(most, why_none(case, sheet))
            sheet.lack(used, why_none(case, sheet))
            continue
        tyres = held if road == "dry" else replace(held, grip=wet_grip())
        force = grip_force(case, sheet, tyres)
        spins = sheet.add(
            most, work(law.torque_of_grip, "Torque that spins them", force=force, wheel_radius=held.radius)
        )
        if torque is None:
            sheet.lack(used, sheet.reasons.get("drive.wheel_torque_peak", "the torque at the wheels is not known"))
        else:
            sheet.add(used, work(motor.share_of_rating, "Torque used", torque=torque, rated=spins))
