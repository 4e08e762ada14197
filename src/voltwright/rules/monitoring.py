"""Who watches the cells, and what is known of used modules."""

from __future__ import annotations

import math
from collections.abc import Iterator

from voltwright.parts.battery import Bms
from voltwright.rules.clause import maker, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, exceeds, volts
from voltwright.rules.rule import rule
from voltwright.rules.ways import another_part, boards_for, counts, one_step


@rule()
def monitoring(seen: Assessed) -> Iterator[Finding]:
    """Has each cell group a monitor channel, and each module its temperature sensors?"""
    bms = seen.case.bms
    groups = seen.case.build.pack.module_count * seen.case.module.groups_series
    if bms is None:
        yield Finding(
            key="bms.missing",
            severity="stop",
            title="Nobody watches the cells",
            detail=f"The pack has {groups} cell groups and the build names no BMS.",
            limit=f"{groups} channels",
            value="0 channels",
            margin=f"−{groups} channels",
            clause=practice("every cell group is monitored"),
            remedy=f"Name a BMS with at least {groups} channels.",
        )
        return
    yield from _channels(seen, bms)
    yield from _sensors(seen, bms)
    if seen.case.cell.chemistry not in bms.chemistries:
        yield Finding(
            key="bms.chemistry",
            severity="stop",
            title="The BMS is not made for these cells",
            detail=f"{bms.title} is made for {', '.join(bms.chemistries)}; the cells are {seen.case.cell.chemistry}.",
            limit=", ".join(bms.chemistries),
            value=seen.case.cell.chemistry,
            clause=maker("the BMS maker's instructions"),
            remedy=f"Choose a BMS for {seen.case.cell.chemistry}.",
            ladders=(_other_bms(seen),),
        )


@rule()
def cell_window(seen: Assessed) -> Iterator[Finding]:
    """Does the BMS measure the whole range of a cell's voltage?"""
    bms, cell = seen.case.bms, seen.case.cell
    if bms is None:
        return
    high = exceeds(cell.voltage_full.value, bms.cell_voltage_max.value)
    if high or exceeds(bms.cell_voltage_min.value, cell.voltage_empty.value):
        window = f"{volts(bms.cell_voltage_min.value)} to {volts(bms.cell_voltage_max.value)}"
        yield Finding(
            key="bms.cell_voltage",
            severity="stop",
            title="The BMS does not measure the cells over their whole range",
            detail=f"{bms.title} measures {window}; "
            f"a cell goes from {volts(cell.voltage_empty.value)} to {volts(cell.voltage_full.value)}.",
            limit=window,
            value=volts(cell.voltage_full.value if high else cell.voltage_empty.value),
            clause=maker("the BMS maker's instructions"),
            remedy="Choose a BMS whose range holds that of the cells.",
            ladders=(_other_bms(seen),),
        )


@rule()
def current_sensor(seen: Assessed) -> Iterator[Finding]:
    """Does the BMS measure the current of the pack?"""
    bms, fuse = seen.case.bms, seen.case.fuse
    if bms is None or bms.measures_current:
        return
    partial = fuse is not None and fuse.utilisation == "partial-range"
    yield Finding(
        key="bms.no_current",
        severity="stop" if partial else "caution",
        title="Nobody measures the current of the pack",
        detail=f"{bms.title} has no current sensor: it cannot count the charge, hold a limit of current, or open the contactors on an "
        "overcurrent" + (", and the fuse does not break small ones." if partial else "."),
        limit="a current sensor",
        value="none",
        clause=practice("the monitor measures the current of the pack"),
        remedy="A sensor of its own will do where inverter and contactors obey it.",
        ladders=(another_part(seen, "pack.bms.part", "BMS", lambda part: part.measures_current),),
    )


def _other_bms(seen: Assessed) -> Ladder:
    """Every BMS for these cells, the cheapest first."""
    cell = seen.case.cell

    def suits(part: Bms) -> bool:
        within = (
            part.cell_voltage_min.value <= cell.voltage_empty.value
            and part.cell_voltage_max.value >= cell.voltage_full.value
        )
        return cell.chemistry in part.chemistries and within

    return another_part(seen, "pack.bms.part", "BMS", suits)


def boards_needed(seen: Assessed, bms: Bms) -> int:
    """Boards for every group. A board does not span two strings."""
    pack = seen.case.build.pack
    return boards_for(pack.series * seen.case.module.groups_series, pack.parallel, bms.channels_per_board)


def _channels(seen: Assessed, bms: Bms) -> Iterator[Finding]:
    pack, boards = seen.case.build.pack, boards_needed(seen, bms)
    if boards <= pack.bms.boards <= bms.boards_most:
        return
    groups = pack.series * seen.case.module.groups_series
    few = boards > bms.boards_most or pack.bms.boards > bms.boards_most
    yield Finding(
        key="bms.channels",
        severity="stop",
        title="Cell groups are left without a monitor channel",
        detail=f"{pack.parallel} string(s) of {groups} cell groups want {boards} boards of {bms.channels_per_board} channels "
        f"(a board does not span two strings); the build names {pack.bms.boards}, and this BMS takes at most {bms.boards_most}.",
        limit=f"{boards} boards",
        value=f"{pack.bms.boards} boards",
        margin=f"−{max(boards - pack.bms.boards, boards - bms.boards_most, pack.bms.boards - bms.boards_most)} boards",
        clause=practice("every cell group is monitored"),
        remedy=f"Choose a BMS that takes {boards} boards, or boards with more channels."
        if few
        else "Each group must be measured.",
        ladders=(
            counts("pack.bms.boards", "Fit {number} monitor boards", pack.bms.boards + 1, bms.boards_most),
            _other_bms(seen),
        ),
    )


def _sensors(seen: Assessed, bms: Bms) -> Iterator[Finding]:
    pack, module = seen.case.build.pack, seen.case.module
    wanted, inputs = pack.module_count * max(1, module.temperature_sensors), pack.bms.boards * bms.sensors_per_board
    fitted = pack.bms.sensors or 0
    if min(fitted, inputs) >= wanted:
        return
    short = f"the build names {fitted}" if fitted < wanted else f"the boards read {inputs}"
    boards = math.ceil(wanted / bms.sensors_per_board) if bms.sensors_per_board else 0
    yield Finding(
        key="bms.sensors",
        severity="caution",
        title="Modules are left without a temperature that is watched",
        detail=f"{pack.module_count} modules want {wanted} temperature sensors; {short}.",
        limit=f"{wanted} sensors",
        value=f"{min(fitted, inputs)} sensors",
        margin=f"−{wanted - min(fitted, inputs)} sensors",
        clause=practice("each module's temperature is watched"),
        remedy=f"Set pack.bms.sensors to {wanted}"
        + (f" and fit {boards} boards." if inputs < wanted and boards else "."),
        ladders=(_sensors_and_boards(wanted, max(boards, pack.bms.boards)),),
    )


def _sensors_and_boards(sensors: int, boards: int) -> Ladder:
    says = f"Fit {sensors} temperature sensors, and {boards} boards that read them (pack.bms.sensors, boards)"
    return one_step(says, {"pack.bms.sensors": sensors, "pack.bms.boards": boards})


@rule("pack")
def salvaged_unmeasured(seen: Assessed) -> Iterator[Finding]:
    """Is the health of used modules measured?"""
    pack, module = seen.case.build.pack, seen.case.module
    if module.stock != "salvaged" or (pack.condition is not None and pack.condition.health.origin.how == "measured"):
        return
    figure = seen.figures["pack.capacity"]
    yield Finding(
        key="pack.salvaged_unmeasured",
        severity="caution",
        title="The modules are used and their health is not measured",
        detail=f"Capacity is taken as {figure.printed()}"
        + (f" ({figure.printed_band()})." if figure.printed_band() else "."),
        limit="measured health",
        value="not measured",
        clause=practice("the weakest group sets what a string holds"),
        remedy="Test every module on the bench and enter the weakest one's health as measured (pack.condition.health, how: measured).",
    )
