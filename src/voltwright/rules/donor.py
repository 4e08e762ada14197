"""The old electrics."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.rules.clause import practice
from voltwright.rules.finding import Assessed, Finding, volts
from voltwright.rules.rule import rule
from voltwright.rules.ways import another_part


@rule()
def earth(seen: Assessed) -> Iterator[Finding]:
    """Is the donor's positive pole earthed?"""
    electrics, dc_dc = seen.case.build.donor.electrics, seen.case.dc_dc
    if electrics.earth != "positive":
        return
    what = dc_dc.title if dc_dc else "the DC-DC"
    yield Finding(
        key="electrics.earth",
        severity="stop",
        title="The donor has its positive pole on the body",
        detail=f"Inverter, BMS and {what} expect the negative pole there; mixed polarity destroys them and can start a fire.",
        limit="negative earth",
        value="positive earth",
        clause=practice("one earthed pole in the whole car"),
        remedy=(
            "Change the donor to negative earth first (battery, ammeter, radio, wiper and heater motors, ignition-fed parts), "
            "then set donor.electrics.earth to negative."
        ),
    )


@rule()
def low_voltage(seen: Assessed) -> Iterator[Finding]:
    """Does the DC-DC make the voltage that the donor's lamps need?"""
    donor, dc_dc = seen.case.build.donor.electrics.voltage.value, seen.case.dc_dc
    if dc_dc is None:
        yield Finding(
            key="electrics.dc_dc_missing",
            severity="caution",
            title="Nothing feeds the low-voltage side",
            detail="The dynamo or alternator goes with the engine, and the build names no DC-DC.",
            limit="a DC-DC",
            value="none",
            clause=practice(),
            remedy="Name a DC-DC under low_voltage.dc_dc.",
        )
    elif not donor <= dc_dc.voltage_out.value <= donor * 1.35:
        yield Finding(
            key="electrics.voltage",
            severity="stop",
            title="The DC-DC makes another voltage than the donor has",
            detail=f"The donor has {volts(donor)}; {dc_dc.title} makes {volts(dc_dc.voltage_out.value)}.",
            limit=volts(donor),
            value=volts(dc_dc.voltage_out.value),
            clause=practice("charging voltage lies up to a third above the nominal"),
            ladders=(
                another_part(
                    seen,
                    "low_voltage.dc_dc.part",
                    "DC-DC",
                    lambda part: donor <= part.voltage_out.value <= 1.35 * donor,
                ),
            ),
            remedy=f"Change the donor to {12 if dc_dc.voltage_out.value < 18 else 24} V (lamps, motors, relays, gauges), or another DC-DC.",
        )
