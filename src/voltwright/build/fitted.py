"""What goes in: the drive, the pack and its boxes, protection, charging, and everything else with a mass."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from voltwright.build.base import Count, Frozen, Name, PartId, Real, Text, Whole, different_names
from voltwright.quantity.entry import (
    CrossSection,
    Current,
    Entry,
    Expect,
    Force,
    Health,
    Length,
    MassOrNone,
    Position,
    PositiveShare,
    Resistance,
    Share,
    SmallLength,
    Speed,
    Temperature,
    Time,
    Torque,
    Turning,
    Voltage,
)  # fmt: skip
from voltwright.quantity.errors import Problem, QuantityError


class Placed(Frozen):
    """A part at a place; `mass` overrides the datasheet (for example when it was weighed)."""

    part: PartId
    count: Count = 1
    mass: MassOrNone | None = None
    x: Position
    y: Position | None = None
    z: Position


class Extra(Frozen):
    """Something made or bought that is on no shelf: brackets, adaptor plate, pipes."""

    name: Text
    mass: MassOrNone
    count: Count = 1
    x: Position
    y: Position | None = None
    z: Position


class Gearing(Frozen):
    """How the motor reaches the wheels, at which motor speed the driver changes up, and how the car reverses.

    `reverse_speed` and `reverse_torque` are the road speed and the torque to which the inverter is set backwards.
    `coupling_torque` is what the coupling, or the clutch that was kept, bears between motor and gears.
    """

    way: Literal["gearbox-kept", "gear-unit", "direct", "axle-drive"]
    fixed_gear: Annotated[Whole, Field(ge=1, le=10)] | None = None
    gear_unit: Placed | None = None
    efficiency: PositiveShare
    shift_speed: Turning | None = None
    shift_time: Time | None = None
    reverse: Literal["motor", "gear"] | None = None
    reverse_speed: Speed | None = None
    reverse_torque: Torque | None = None
    coupling_torque: Torque | None = None


class Regeneration(Frozen):
    """How much of a braking the motor takes.

    `share` is the most of it that the motor may take, `speed_min` the speed below which it takes none, and `torque` the
    limit that is set in the inverter.
    """

    share: Share
    speed_min: Speed
    torque: Torque | None = None


class Mounts(Frozen):
    """How motor and gears are held against the torque that they give.

    `old`: on the mounts of the old engine. `spacing` is that of left and right mount across the shaft, and `force_each` what
    one of them bears upwards and downwards.
    """

    old: bool = False
    spacing: SmallLength
    force_each: Force | None = None


class Drive(Frozen):
    """Motor, inverter, gearing. `torque_limit` is what the inverter is set to while it drives."""

    motor: Placed | None = None
    inverter: Placed | None = None
    torque_limit: Torque | None = None
    gearing: Gearing
    regeneration: Regeneration
    mounts: Mounts | None = None


class Box(Frozen):
    """A battery box: its outside, its centre, and how many modules it holds.

    `mass` is that of the box with all that is in it but the modules: monitors, contactors, links, insulation.
    `wall`, `wall_thickness` and `insulation` (thickness of foam) tell what heat meets on its way out, `surroundings` what is
    around the box.
    """

    name: Name
    modules: Annotated[Whole, Field(ge=0, le=1000)]
    mass: MassOrNone
    x: Position
    y: Position | None = None
    z: Position
    length: SmallLength
    width: SmallLength
    height: SmallLength
    wall: Literal["steel", "aluminium", "plastic"] | None = None
    wall_thickness: Annotated[Entry, Expect("mm", least=0.1, most=5000)] | None = None
    insulation: SmallLength | None = None
    surroundings: Literal["engine-bay", "boot", "under-floor", "cabin"] | None = None


Growth = Annotated[Real, Field(ge=0.5, le=10)]


class FoundString(Frozen):
    """What the bench found of one string; its weakest module counts. `module`: where it is not made of `pack.module`.

    `temperature` is that of its cells while the others are at 25 °C, `cable` what its own cables add beyond those of the others.
    """

    health: Health
    resistance_growth: Growth
    module: PartId | None = None
    temperature: Temperature | None = None
    cable: Resistance | None = None


class Condition(Frozen):
    """What the bench found of modules that are not new; the weakest module of the pack counts.

    `strings`: each parallel string by itself, where they are not alike.
    """

    health: Health
    resistance_growth: Growth | None = None
    age: Annotated[Real, Field(ge=0, le=50)] = 0.0
    distance: Annotated[Entry, Expect("km", least=0, most=1e6)] | None = None
    strings: Annotated[tuple[FoundString, ...], Field(max_length=200)] = ()


class Window(Frozen):
    """The charge that is used: from `empty` up to `full`."""

    full: PositiveShare
    empty: Share

    @model_validator(mode="after")
    def _empty_is_below_full(self) -> Window:
        highest_empty = self.empty.value if self.empty.spread.is_exact else self.empty.spread.high
        lowest_full = self.full.value if self.full.spread.is_exact else self.full.spread.low
        if highest_empty >= lowest_full:
            what = f"the lowest charge that is used ({self.empty.text}) is not below the highest ({self.full.text})"
            raise QuantityError(Problem(what, "empty below full", "exchange the two, or enter both"))
        return self


class Monitoring(Frozen):
    """The battery management system and its boards."""

    part: PartId | None = None
    boards: Annotated[Whole, Field(ge=0, le=200)] = 0
    sensors: Annotated[Whole, Field(ge=0, le=500)] | None = None
    current_limit: Current | None = None


class Cabling(Frozen):
    """The main traction cable."""

    part: PartId
    length: Length


class Protection(Frozen):
    """What stands between a fault and a person."""

    fuse: PartId | None = None
    fuses: Annotated[Whole, Field(ge=0, le=200)] = 1
    contactor: PartId | None = None
    contactors: Annotated[Whole, Field(ge=0, le=20)] = 2
    precharge_contactor: PartId | None = None
    precharge_resistor: Resistance | None = None
    precharge_time: Time | None = None
    main_cable: Cabling | None = None
    msd: PartId | None = None
    msds: Annotated[Whole, Field(ge=0, le=200)] = 1
    isolation_monitor: PartId | None = None


class Pack(Frozen):
    """`series` modules make a string, `parallel` strings the pack."""

    module: PartId
    series: Annotated[Whole, Field(ge=1, le=1000)]
    parallel: Annotated[Whole, Field(ge=1, le=200)] = 1
    condition: Condition | None = None
    window: Window
    cooling: Literal["none", "air", "liquid"] = "none"
    boxes: Annotated[tuple[Box, ...], AfterValidator(different_names)] = ()
    bms: Monitoring = Monitoring()
    protection: Protection = Protection()
    voltage_limit_full: Voltage | None = None

    @model_validator(mode="after")
    def _every_string_was_found(self) -> Pack:
        found = len(self.condition.strings) if self.condition else 0
        if found not in (0, self.parallel):
            what = f"condition.strings has {found} strings, and the pack has {self.parallel} in parallel"
            raise QuantityError(
                Problem(what, "every string once, or none", "name each string, or correct pack.parallel")
            )
        return self

    @property
    def module_count(self) -> int:
        return self.series * self.parallel


class Charging(Frozen):
    """On-board charging."""

    charger: Placed | None = None
    inlet: PartId | None = None
    target_temperature: Temperature | None = None


class Feed(Frozen):
    """The copper cable from the DC-DC to the low-voltage battery: one way, as the body leads back.

    `fuse_rating` is that of the fuse in it, at the battery's end.
    """

    cross_section: CrossSection
    length: Length
    fuse_rating: Current | None = None


class Braking(Frozen):
    """What is fitted for stopping and holding, beside the donor's brakes.

    `servo` stands in place of the donor's where another is fitted; `vacuum_pump`: an electric pump makes the vacuum that the
    engine made, and `vacuum_warning` tells the driver when it fails. `lamps`: what lights the brake lamps, the pedal alone or
    regeneration too, then from `lamps_from` on. `park_lock` holds the driven wheels through the drive: a pawl, or a brake that
    a spring applies; a hydraulic hold keeps pressure in the lines.
    """

    servo: Literal["none", "vacuum", "electric"] | None = None
    vacuum_pump: bool = False
    vacuum_warning: bool = False
    lamps: Literal["pedal", "regeneration"] = "pedal"
    lamps_from: Annotated[Entry, Expect("m/s²", least=0, most=10)] | None = None
    park_lock: Literal["none", "pawl", "spring-brake", "hydraulic"] = "none"


class LowVoltage(Frozen):
    """The side that keeps the lamps alight.

    `parked`: what feeds it while the car is parked. `battery`: the contactors open and the DC-DC is off. `dc-dc`: the DC-DC
    hangs on the pack day and night. `fed_anew`: what hung on the donor's ignition switch and gets a feed of its own, with relay
    and fuse. `taken_out`: what of the old electrics is taken out or laid dead, by the names of `donor.electrics.ignition_loads`
    or as dynamo, regulator, charge lamp.
    """

    dc_dc: Placed | None = None
    battery: Placed | None = None
    feed: Feed | None = None
    parked: Literal["battery", "dc-dc"] = "battery"
    fed_anew: tuple[Text, ...] = ()
    taken_out: tuple[Text, ...] = ()


class Comfort(Frozen):
    """Heaters on traction voltage."""

    cabin_heater: Placed | None = None
    pack_heater: Placed | None = None
