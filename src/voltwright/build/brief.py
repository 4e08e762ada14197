"""What the customer asked for, how the car will be used, and where it will be charged."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from voltwright.build.base import Frozen, Real, Says, Text, Whole, different_names
from voltwright.quantity.entry import (
    Current,
    Distance,
    MassOrNone,
    MoneyAmount,
    Power,
    Share,
    SmallPower,
    Speed,
    Temperature,
    Time,
    Voltage,
    YearlyDistance,
)  # fmt: skip
from voltwright.quantity.errors import Problem, QuantityError

Trip = Annotated[
    str,
    Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=40),
    Says("a name in small letters, digits and hyphens, such as steady-80"),
]


class Brief(Frozen):
    """Wishes; a verdict on each comes with the question that it belongs to."""

    customer: Text | None = None
    range: Distance | None = None
    range_trip: Trip | None = None
    time_0_50: Time | None = None
    time_0_100: Time | None = None
    top_speed: Speed | None = None
    cruise_speed: Speed | None = None
    start_gradient: Share | None = None
    price: MoneyAmount | None = None
    seats: Annotated[Whole, Field(ge=1, le=20)] = 2
    load: MassOrNone
    tow: MassOrNone | None = None
    keep: tuple[Text, ...] = ()


class DutyTrip(Frozen):
    """One kind of journey: a known trip or a speed trace, and its share of the yearly distance."""

    name: Trip
    share: Share
    trip: Trip | None = None
    trace: Text | None = None
    distance: Distance | None = None


class Climate(Frozen):
    """Temperatures of the air where the car lives."""

    coldest: Temperature
    hottest: Temperature
    mean: Temperature
    monthly: Annotated[tuple[Temperature, ...], Field(min_length=12, max_length=12)] | None = None

    @model_validator(mode="after")
    def _coldest_is_colder(self) -> Climate:
        if self.coldest.value > self.hottest.value:
            what = f"the coldest day ({self.coldest.text}) is warmer than the hottest ({self.hottest.text})"
            raise QuantityError(Problem(what, "coldest below hottest", "exchange the two, or enter both"))
        return self


class Parking(Frozen):
    """Where the car stands and how full."""

    place: Literal["heated-garage", "garage", "outdoors", "outdoors-in-the-sun"] = "garage"
    charge: Share


class Habit(Frozen):
    """How the customer charges."""

    limit: Share
    times_per_week: Annotated[Real, Field(ge=0, le=50)] = 2.0
    fast_share: Share


class LayUp(Frozen):
    """The winter rest."""

    months: Annotated[Real, Field(ge=0, le=12)] = 0.0
    charge: Share | None = None


class Duty(Frozen):
    """How the car is used over a year."""

    distance: YearlyDistance
    trips: Annotated[tuple[DutyTrip, ...], AfterValidator(different_names)] = ()
    climate: Climate
    parking: Parking
    habit: Habit
    lay_up: LayUp = LayUp()


class Supply(Frozen):
    """A socket or station where the car will be charged."""

    name: Trip
    kind: Literal["ac", "dc"] = "ac"
    phases: Annotated[Whole, Field(ge=1, le=3)] = 1
    voltage: Voltage | None = None
    voltage_min: Voltage | None = None
    current: Current
    power: Power | None = None


class Load(Frozen):
    """A consumer: on the low-voltage side, or on traction voltage."""

    name: Text
    power: SmallPower
    use: Share
    when: Literal["driving", "standing", "always", "charging"] = "driving"
