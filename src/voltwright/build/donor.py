"""The car as it arrives.

Axes: x runs rearwards from the front axle, y to the left of the middle, z up from the ground (laden as at the weighing).
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator, model_validator

from voltwright.build.base import Count, CsvName, Frozen, Real, Says, Text, Whole
from voltwright.build.brief import Altitude
from voltwright.parts.tyres import read_marking
from voltwright.quantity.entry import (
    Area,
    Coefficient,
    Entry,
    Expect,
    Frequency,
    Length,
    Mass,
    MassOrNone,
    Position,
    PositiveShare,
    SmallLength,
    Stiffness,
    Temperature,
    Torque,
    Turning,
    Voltage,
)  # fmt: skip
from voltwright.quantity.errors import Problem, QuantityError

Axle = Literal["front", "rear"]


Marking = Annotated[
    Text,
    Says(
        "the marking on the side wall, such as 165/80R14 85S, 165 R 14, 165 HR 400 or 5.60-13; any text where the load "
        "of one tyre is entered"
    ),
]


class Axles(Frozen):
    """What an axle carries, or may carry."""

    front: Mass | None = None
    rear: Mass | None = None


class Limits(Frozen):
    """What the donor's maker permits, from the plate or the papers."""

    gross: Mass | None = None
    front_axle: Mass | None = None
    rear_axle: Mass | None = None
    train: Mass | None = None
    trailer_braked: MassOrNone | None = None
    trailer_unbraked: MassOrNone | None = None
    roof: MassOrNone | None = None


class Size(Frozen):
    """Outside and wheels."""

    length: Length
    width: Length
    height: Length
    wheelbase: Length
    front_overhang: Length
    track_front: Length
    track_rear: Length
    ground_clearance: SmallLength | None = None


class Air(Frozen):
    """Drag by coefficient and area."""

    drag_coefficient: Coefficient
    frontal_area: Area


_COAST_DOWN = "a file with mass, temperature and pressure or altitude; or a and c, with b and mass where known"


class CoastDown(Frozen):
    """Road load F = A + B v + C v² of a coast-down, out of gear.

    Either `file` with the runs, and then `mass`, `temperature` and one of `pressure` and `altitude` of that day; or `a`,
    `b` and `c`, with C in air of 20 °C and 98.21 kPa. `mass` is that of the car as it rolled, people included.
    """

    file: CsvName | None = None
    a: Annotated[Entry, Expect("N", above=0, most=100000)] | None = None
    b: Annotated[Entry, Expect("N/(m/s)", least=-100, most=1000)] | None = None
    c: Annotated[Entry, Expect("N/(m/s)²", above=0, most=100)] | None = None
    mass: Mass | None = None
    temperature: Temperature | None = None
    pressure: Annotated[Entry, Expect("kPa", least=50, most=110)] | None = None
    altitude: Altitude | None = None

    @model_validator(mode="after")
    def _one_way_and_whole(self) -> CoastDown:
        typed, of_day = ("a", "b", "c"), ("temperature", "pressure", "altitude")
        if self.file is None:
            needed, other = ("a", "c"), [name for name in of_day if getattr(self, name) is not None]
        else:
            needed, other = ("mass", "temperature"), [name for name in typed if getattr(self, name) is not None]
        missing = [name for name in needed if getattr(self, name) is None]
        if self.file and not missing and self.pressure is None and self.altitude is None:
            missing = ["pressure"]
        if missing:
            what = f"{missing[0]} is missing, and {'the runs' if self.file else 'A, B and C'} mean nothing without"
            raise QuantityError(Problem(what, _COAST_DOWN, f"add '{missing[0]}: ...'"))
        if other or (self.pressure is not None and self.altitude is not None):
            extra = other[0] if other else "altitude"
            what = f"{extra} does not belong to what stands beside it"
            raise QuantityError(Problem(what, _COAST_DOWN, f"take {extra} out, or what stands beside it", extra))
        return self

    @model_validator(mode="after")
    def _never_pushes(self) -> CoastDown:
        """A negative B may not make the force fall below nothing at any speed."""
        if self.a and self.c and self.b and self.b.value < 0 and self.b.value**2 >= 4 * self.a.value * self.c.value:
            what = f"with a B of {self.b.text} the car would push itself at some speed"
            raise QuantityError(Problem(what, "a force above 0 at every speed", "check the signs and the units", "b"))
        return self


class Tyres(Frozen):
    """Markings as they stand on the side wall, or any text where the load of one tyre is entered."""

    front_load_each: Mass | None = None
    rear_load_each: Mass | None = None
    front: Marking
    rear: Marking
    rolling_resistance: Coefficient

    @field_validator("front", "rear")
    @classmethod
    def _must_be_a_marking(cls, text: str, seen: ValidationInfo) -> str:
        """Without a load of its own, a tyre is known by its marking alone."""
        if seen.data.get(f"{seen.field_name}_load_each", "wrong, and complained of") is None:
            read_marking(text)
        return text


class Suspension(Frozen):
    """Springs of one axle: the rate at each wheel, or how quickly the body bounces on it; and what is not sprung.

    `bump_travel` is the way of a wheel from where it stands under the unladen donor to its bump stop.
    """

    wheel_rate: Stiffness | None = None
    bounce_frequency: Frequency
    unsprung_mass: Mass
    ride_height: SmallLength | None = None
    bump_travel: SmallLength | None = None


class Suspensions(Frozen):
    front: Suspension
    rear: Suspension


class Gearbox(Frozen):
    """The donor's gearbox; ratios from first gear up.

    `speed_max` is the highest input speed that gearbox, clutch and flywheel bear.
    """

    ratios: tuple[Annotated[Real, Field(gt=0, le=30)], ...] = ()
    reverse_ratio: Annotated[Real, Field(gt=0, le=30)] | None = None
    torque_max: Torque | None = None
    speed_max: Turning | None = None


EnginePower = Annotated[Entry, Expect("kW", above=0, most=2000)]


class DriveLine(Frozen):
    """What turns the wheels.

    `half_shaft_torque` is what one half shaft bears, `final_drive_torque` what the final drive bears at its input, and
    `coast_share` how much of that it bears on its coast side, while the motor brakes or turns backwards. `transaxle`: gearbox
    and final drive are in one casing; where this is not said, they are where the front axle is driven.
    """

    driven_axle: Literal["front", "rear", "both"] = "rear"
    gearbox: Gearbox = Gearbox()
    final_drive: Annotated[Real, Field(gt=0, le=30)] | None = None
    half_shaft_torque: Torque | None = None
    final_drive_torque: Torque | None = None
    coast_share: PositiveShare | None = None
    transaxle: bool | None = None
    engine_torque: Torque | None = None
    engine_power: EnginePower | None = None


class Brakes(Frozen):
    """Service and parking brakes, as the donor has them.

    `front_share` is what the front brakes do of a gentle braking, `valve_from` the braking of the empty donor (as a share of
    gravity) from which a limiting valve lets the rear brakes rise no more. `front_mass` and `rear_mass` are those of both discs
    or drums of an axle, and `parking_force` is what the parking brake holds at the tread of both wheels together, by a roller
    brake tester.
    """

    front: Literal["disc", "drum"] = "disc"
    rear: Literal["disc", "drum"] = "drum"
    servo: Literal["none", "vacuum", "electric"] = "none"
    parking: Literal["rear-cable", "front-cable", "transmission", "none"] = "rear-cable"
    front_share: PositiveShare | None = None
    limiting_valve: bool = False
    valve_from: Annotated[Entry, Expect("1", above=0, most=1.5)] | None = None
    front_mass: Mass | None = None
    rear_mass: Mass | None = None
    parking_force: Annotated[Entry, Expect("N", above=0, most=50000)] | None = None


class Electrics(Frozen):
    """The donor's own electrics. The earthed pole and the voltage decide what may be connected."""

    voltage: Voltage
    earth: Literal["negative", "positive"]
    generator: Literal["dynamo", "alternator", "none"] = "alternator"
    ignition_loads: tuple[Text, ...] = ()


class Thing(Frozen):
    """Something with a mass at a place."""

    name: Text
    mass: MassOrNone
    count: Count = 1
    x: Position
    y: Position | None = None
    z: Position


class Place(Frozen):
    """Where people sit or load lies: x and z of its centre of gravity, and how many people fit."""

    name: Text
    places: Annotated[Whole, Field(ge=0, le=20)] = 0
    x: Position
    z: Position


class LiftedWeighing(Frozen):
    """The height of the centre of gravity by weighing: one axle lifted, springs blocked, brakes off."""

    angle: Annotated[Entry, Expect("°", above=1, most=60)]
    load_gain: MassOrNone
    wheel_radius: Length


class Donor(Frozen):
    """All that is measured on the donor, or assumed with a reason."""

    title: Text
    year: Annotated[Whole, Field(ge=1880, le=2100)]
    body: Literal["coupe", "roadster", "saloon", "estate", "van", "pickup", "other"]
    mass_kerb: Mass
    axles: Axles = Axles()
    limits: Limits = Limits()
    size: Size
    cg_height: Length
    cg_lift: LiftedWeighing | None = None
    cg_left: Position | None = None
    air: Air
    coast_down: CoastDown | None = None
    tyres: Tyres
    suspension: Suspensions
    drive_line: DriveLine = DriveLine()
    brakes: Brakes = Brakes()
    electrics: Electrics
    seats: tuple[Place, ...] = Field(min_length=1)
    load_space: Place
    removed: tuple[Thing, ...] = ()
    stays: tuple[Thing, ...] = ()
