"""What holds motor and gears against the torque that they give."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.quantity.figure import amount, fixed
from voltwright.quantity.units import Unit
from voltwright.rules.clause import arithmetic, maker, practice
from voltwright.rules.finding import Assessed, Finding, apart, exceeds
from voltwright.rules.rule import rule
from voltwright.rules.ways import less_torque, one_gear, one_step, settings, upwards


def _newtons(seen: Assessed, value: float) -> str:
    return amount(value, Unit("N"), 0, seen.system)


@rule("drive_line")
def mounts_unsaid(seen: Assessed) -> Iterator[Finding]:
    """Has anybody said how motor and gears are held?"""
    torque, mounts = seen.si("drive.mount_torque"), seen.case.build.drive.mounts
    if torque is None or mounts is not None:
        return
    yield Finding(
        key="drive.mounts_unsaid",
        severity="caution",
        title="Nothing says how motor and gears are held",
        detail=f"They push back on their mounts with up to {seen.torque(torque)}, forwards and, when the motor brakes, the other way.",
        value=seen.torque(torque),
        clause=practice("mounts hold the torque of all that shares their casing, in both directions"),
        remedy="Enter drive.mounts: whether they are the old ones, how far left and right mount are apart, and what one bears.",
    )


@rule("drive_line")
def old_mounts(seen: Assessed) -> Iterator[Finding]:
    """Do the old engine's mounts get no more torque than the old engine gave them?"""
    torque, used, mounts = (
        seen.si("drive.mount_torque"),
        seen.si("drive.mount_torque_used"),
        seen.case.build.drive.mounts,
    )
    if torque is None or used is None or mounts is None or not mounts.old or not exceeds(used, 1.0):
        return
    said = apart(seen.torque, torque, torque / used)
    yield Finding(
        key="drive.old_mounts",
        severity="caution",
        title="The old mounts get more torque than the old engine gave them",
        detail=f"In the lowest gear they hold {said.value}, {fixed(used, 2)} times what the old engine gave. One is pulled "
        "upwards, which many old mounts hold by their rubber alone.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=arithmetic("what the old engine gave in its lowest gear"),
        remedy="Or a stay that takes the torque, as is fitted to many engines; mounts that hold when the rubber tears.",
        ladders=(
            one_step("Fit new mounts (drive.mounts.old: false)", {"drive.mounts.old": False}),
            less_torque(seen, 1 / used),
            one_gear(seen),
        ),
    )


@rule("drive_line")
def mount_force(seen: Assessed) -> Iterator[Finding]:
    """Does each mount bear its share of the torque?"""
    force, mounts = seen.si("drive.mount_force"), seen.case.build.drive.mounts
    if force is None or mounts is None:
        return
    if mounts.force_each is None:
        if not mounts.old or seen.si("drive.mount_torque_used") is None:
            yield _rating_unknown(seen, force)
        return
    bears = mounts.force_each.value
    if not exceeds(force, bears):
        return
    apart = Unit("mm").from_si(mounts.spacing.value)
    yield Finding(
        key="drive.mount_force",
        severity="stop",
        title="A mount of the motor gets more force than it bears",
        detail=f"The torque presses on one mount and lifts the other with {_newtons(seen, force)}; the weight comes on top.",
        limit=_newtons(seen, bears),
        value=_newtons(seen, force),
        margin=_newtons(seen, bears - force),
        clause=maker("what the maker of the mount states, upwards too"),
        remedy="Or a stay that takes the torque, or stronger mounts.",
        ladders=(
            settings(
                "drive.mounts.spacing",
                "Set the mounts apart by",
                upwards(apart, 10.0, 2 * apart),
                "mm",
                near=apart * force / bears,
            ),
            less_torque(seen, bears / force),
        ),
    )


def _rating_unknown(seen: Assessed, force: float) -> Finding:
    return Finding(
        key="drive.mount_unknown",
        severity="note",
        title="Nobody knows what the mounts of the motor bear",
        detail=f"By the torque alone each gets {_newtons(seen, force)}, one upwards and one downwards; the weight comes on top.",
        value=_newtons(seen, force),
        clause=maker("what the maker of the mount states"),
        remedy="Choose mounts for that, and enter drive.mounts.force_each.",
    )
