"""The cable from the DC-DC to the low-voltage battery: its copper, its fuse, and what is lost in it."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.parts.low_voltage_cable import cable_for, cable_of, low_voltage_cables
from voltwright.quantity.figure import fixed
from voltwright.rules.clause import from_memory, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, amperes, apart, exceeds
from voltwright.rules.rule import rule
from voltwright.rules.ways import settings

DROP = 0.4  # V; from memory: what handbooks allow between alternator and battery of 12 V
FUSES = (
    5,
    7.5,
    10,
    15,
    20,
    25,
    30,
    40,
    50,
    60,
    70,
    80,
    100,
    125,
    150,
    175,
    200,
    225,
    250,
    300,
)  # A; sizes that are sold
TABLE = from_memory("ISO 6722 and DIN 72551 as automotive handbooks print them; the cable maker's table decides")


@rule("low_voltage")
def feed_named(seen: Assessed) -> Iterator[Finding]:
    """Is the cable between DC-DC and battery named?"""
    current = seen.si("wiring.dcdc_current")
    if current is not None and seen.case.build.low_voltage.feed is None:
        yield Finding(
            key="electrics.feed_unknown",
            severity="note",
            title="The cable from the DC-DC to the battery is not named",
            detail=f"At full power it carries {amperes(current)}: {_size_for(current)}. Without a fuse at the battery's end a "
            "crushed cable "
            "burns the car, for the battery feeds it too.",
            value=amperes(current),
            clause=TABLE,
            remedy="Enter it under low_voltage.feed, with its length and the fuse at the battery's end.",
        )


@rule("low_voltage")
def feed(seen: Assessed) -> Iterator[Finding]:
    """Do cable and fuse between DC-DC and battery suit the current of the DC-DC?"""
    feed, current, drop = seen.case.build.low_voltage.feed, seen.si("wiring.dcdc_current"), seen.si("wiring.feed_drop")
    if current is None or feed is None:
        return
    cable = cable_of(feed.cross_section.value)
    if exceeds(current, cable.ampere_50):
        said = apart(amperes, current, cable.ampere_50)
        yield Finding(
            key="electrics.feed_thin",
            severity="stop",
            title="The cable from the DC-DC is too thin",
            detail=f"The DC-DC gives {said.value}; copper of {feed.cross_section.text} bears {said.limit} for "
            "ever in a bay of "
            f"50 °C: {_size_for(current)}.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=TABLE,
            ladders=(_thicker(feed.cross_section.value),),
        )
    if drop is not None and exceeds(drop, DROP):
        yield Finding(
            key="electrics.feed_drop",
            severity="caution",
            title="Too much voltage is lost between DC-DC and battery",
            detail=f"At full power {seen.text('wiring.feed_drop')} are lost in {feed.length.text} of {feed.cross_section.text}; "
            "the battery is "
            "charged with so much less.",
            limit=f"{fixed(DROP, 1)} V",
            value=seen.text("wiring.feed_drop"),
            clause=from_memory("automotive handbooks: 0.4 V between alternator and battery at 12 V"),
            ladders=(_thicker(feed.cross_section.value),),
        )
    yield from _feed_fuse(
        feed.fuse_rating.value if feed.fuse_rating else None, current, cable.ampere_50, feed.cross_section.value
    )


def _feed_fuse(fuse: float | None, current: float, bears: float, area: float) -> Iterator[Finding]:
    if fuse is None or exceeds(fuse, bears):
        yield Finding(
            key="electrics.feed_fuse",
            severity="stop",
            title="No fuse protects the cable between battery and DC-DC",
            detail=(
                f"The fuse of {amperes(fuse)} is more than the cable bears continuously ({amperes(bears)})."
                if fuse
                else "No fuse is named."
            )
            + " The battery alone can feed a crushed cable with hundreds of amperes.",
            limit=amperes(bears),
            value=amperes(fuse) if fuse else "none",
            margin=amperes(bears - fuse) if fuse else None,
            clause=practice("a fuse within a hand's breadth of the battery, of no more than the cable bears"),
            ladders=(_fuses(current, bears), _thicker(area) if fuse else Ladder(lambda: ())),
        )
    elif exceeds(current, fuse):
        said = apart(amperes, current, fuse)
        yield Finding(
            key="electrics.feed_fuse_small",
            severity="caution",
            title="The fuse between DC-DC and battery opens at full power",
            detail=f"The DC-DC gives {said.value}; the fuse is one of {said.limit}.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=practice(),
            ladders=(_fuses(current, bears),),
        )


def _fuses(current: float, bears: float) -> Ladder:
    fit = [each for each in FUSES if current <= each <= bears]
    return settings("low_voltage.feed.fuse_rating", "Fit a fuse at the battery's end of", fit, "A")


def _thicker(area: float) -> Ladder:
    sizes = [each.area * 1e6 for each in low_voltage_cables() if exceeds(each.area, area)]
    return settings("low_voltage.feed.cross_section", "Lay copper of", sizes, "mm²")


def _size_for(current: float) -> str:
    fits = cable_for(current)
    return (
        f"copper of {fixed(fits.area * 1e6, 0)} mm² bears that" if fits else "no single cable of the table bears that"
    )
