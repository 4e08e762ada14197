"""What the customer asked for, how the car will be used, and where it will be charged."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from voltwright.build.base import CsvName, Frozen, GpxName, Real, Says, Text, Whole, different_names
from voltwright.build.compass import Compass
from voltwright.parts.trips import trip_names
from voltwright.quantity.entry import (
    Current,
    Distance,
    Entry,
    Expect,
    MassOrNone,
    MoneyAmount,
    PositiveShare,
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

Altitude = Annotated[Entry, Expect("m", least=-400, most=4500)]
Wind = Annotated[Entry, Expect("km/h", least=-150, most=150)]
FromStart = Annotated[Entry, Expect("km", least=0, most=2000)]
Trip = Annotated[
    str,
    Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=40),
    Says("a name in small letters, digits and hyphens, such as steady-80"),
]


class Brief(Frozen):
    """Wishes; a verdict on each comes with the question that it belongs to.

    `keep`: what must stay as it is, in the customer's words. `reversible`: the car must be able to be put back as it was.
    """

    customer: Text | None = None
    range: Distance | None = None
    range_trip: Trip | None = None
    time_0_50: Time | None = None
    time_0_100: Time | None = None
    top_speed: Speed | None = None
    cruise_speed: Speed | None = None
    start_gradient: Share | None = None
    park_gradient: Share | None = None
    price: MoneyAmount | None = None
    seats: Annotated[Whole, Field(ge=1, le=20)] = 2
    load: MassOrNone
    tow: MassOrNone | None = None
    keep: tuple[Text, ...] = ()
    reversible: bool = False


class Limit(Frozen):
    """A speed that is held from a place of the route on: `at` is how far that is from the start."""

    at: FromStart
    speed: Speed


class DutyTrip(Frozen):
    """One kind of journey: a known trip, a speed trace or a route of your own, and its share of the yearly distance.

    `speed` is held on a route wherever the road allows it, in place of its times, and each of the `limits` from its place on;
    with `round_trip` it is driven back too. `temperature` is that of the air and of the cells at the start of a route or trace; the
    cabin heater is on as far as it asks. `payload` is all people and luggage of this drive. `wind` blows against the car, or from
    where `wind_from` says: then each section of a route has its own head or tail wind.
    """

    name: Trip
    share: Share
    trip: Trip | None = None
    trace: CsvName | None = None
    route: GpxName | None = None
    speed: Speed | None = None
    limits: Annotated[tuple[Limit, ...], Field(max_length=200)] = ()
    round_trip: bool = False
    temperature: Temperature | None = None
    payload: MassOrNone | None = None
    wind: Wind | None = None
    wind_from: Compass | None = None
    distance: Distance | None = None

    @property
    def driven_as(self) -> str:
        """The name of the trip that it drives: its own where it has a trace or a route."""
        return self.trip or self.name

    @model_validator(mode="after")
    def _one_of_all(self) -> DutyTrip:
        told = {"trip": self.trip, "trace": self.trace, "route": self.route}
        named = [key for key, each in told.items() if each is not None]
        if len(named) > 1:
            what = f"the journey '{self.name}' names a {' and a '.join(named)}"
            raise QuantityError(Problem(what, "one of these", "take out the line that does not hold", named[-1]))
        if named and named[0] != "trip" and self.name in trip_names():
            what = f"the journey '{self.name}' has a {named[0]}, and the name of a trip that is known already"
            raise QuantityError(Problem(what, "a name of its own", "give the journey another name", "name"))
        return self

    @model_validator(mode="after")
    def _of_a_route(self) -> DutyTrip:
        alone = {
            "speed": self.speed is not None, "limits": bool(self.limits), "round_trip": self.round_trip,
            "wind_from": self.wind_from is not None,
        }  # fmt: skip
        if self.route is None:
            for which in (key for key, is_there in alone.items() if is_there):
                what = f"the journey '{self.name}' has a {which}, and no route that is driven so"
                raise QuantityError(Problem(what, "with a route alone", "name the route, or take out this line", which))
        own = {"temperature": self.temperature, "payload": self.payload, "wind": self.wind}
        if self.route is None and self.trace is None:
            for which in (key for key, each in own.items() if each is not None):
                what = f"the journey '{self.name}' has a {which}, and drives a trip that is known already"
                raise QuantityError(Problem(what, "with a route or a trace", _NO_OWN[which], which))
        return self

    @model_validator(mode="after")
    def _wind_has_a_side(self) -> DutyTrip:
        if self.wind_from is not None and self.wind is None:
            what, mend = (
                f"the journey '{self.name}' says where the wind blows from, and not how fast",
                "add a line wind: 20 km/h",
            )
            raise QuantityError(Problem(what, "a wind with its direction", mend, "wind_from"))
        if self.wind_from is not None and self.wind is not None and self.wind.value < 0.0:
            what = f"the wind of the journey '{self.name}' is negative and has a direction"
            mend = "write it without the minus, and in wind_from where it comes from"
            raise QuantityError(Problem(what, "a tail wind has a minus, or a direction, never both", mend, "wind"))
        return self

    @model_validator(mode="after")
    def _limits_follow_each_other(self) -> DutyTrip:
        begins = [each.at.value for each in self.limits]
        if not begins:
            return self
        if self.speed is None and begins[0] > 0.0:
            what = f"the first limit of the journey '{self.name}' begins {self.limits[0].at.text} from the start"
            mend = "let the first begin at 0 km, or name the speed before it in a line speed:"
            raise QuantityError(Problem(what, "a speed from the start on", mend, "limits.0.at"))
        if self.speed is not None and begins[0] <= 0.0:
            what = f"the journey '{self.name}' has a speed, and a limit from its start on"
            raise QuantityError(Problem(what, "one of both", "take out the speed, or that limit", "speed"))
        for index, (before, after) in enumerate(pairwise(begins), 1):
            if after <= before:
                what = f"a limit of the journey '{self.name}' begins no farther than the one before it"
                mend = "put them in order, and take doubled ones out"
                raise QuantityError(Problem(what, "limits in the order of the way", mend, f"limits.{index}.at"))
        return self


_NO_OWN = {
    "temperature": "name a route or a trace, or take out this line; the range in the cold is worked for the customer's trip",
    "payload": "name a route or a trace, or take out this line; every other trip is driven with the seats and load of the brief",
    "wind": "name a route or a trace, or take out this line; duty.wind holds for every other trip",
}


class Climate(Frozen):
    """Temperatures of the air where the car lives, and how high that is: thin air drags less."""

    coldest: Temperature
    hottest: Temperature
    mean: Temperature
    monthly: Annotated[tuple[Temperature, ...], Field(min_length=12, max_length=12)] | None = None
    altitude: Altitude | None = None

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


class Descent(Frozen):
    """The worst way down: how steep, how long, and how fast it is driven."""

    gradient: PositiveShare
    length: Distance
    speed: Speed


class Duty(Frozen):
    """How the car is used over a year. `wind` blows against the car; a tail wind has a minus."""

    distance: YearlyDistance
    trips: Annotated[tuple[DutyTrip, ...], AfterValidator(different_names)] = ()
    climate: Climate
    wind: Wind | None = None
    descent: Descent
    parking: Parking
    habit: Habit
    lay_up: LayUp = LayUp()


class Supply(Frozen):
    """A socket or station where the car will be charged.

    Of alternating current: `voltage` is that between a line and neutral (between the two lines of a split phase), `current`
    what each phase may give by the breaker or the control pilot; the cable is told by what it carries or by the resistor that
    codes it in its plug. Of direct current: `voltage_min` and `voltage_max` are the window of the station, and `cable` is what its
    cable carries where that is less.
    """

    name: Trip
    kind: Literal["ac", "dc"] = "ac"
    phases: Annotated[Whole, Field(ge=1, le=3)] = 1
    voltage: Voltage | None = None
    voltage_min: Voltage | None = None
    voltage_max: Voltage | None = None
    current: Current
    power: Power | None = None
    cable: Current | None = None
    cable_resistor: Annotated[Entry, Expect("Ω", least=75, most=2200)] | None = None

    @model_validator(mode="after")
    def _agrees_with_itself(self) -> Supply:
        if self.cable is not None and self.cable_resistor is not None:
            what = f"the cable of the supply '{self.name}' is told twice"
            raise QuantityError(Problem(what, "one of both", "take out what does not hold", "cable_resistor"))
        if self.voltage_min and self.voltage_max and self.voltage_min.value >= self.voltage_max.value:
            what = f"the least voltage ({self.voltage_min.text}) is not below the greatest ({self.voltage_max.text})"
            raise QuantityError(Problem(what, "voltage_min below voltage_max", "exchange the two", "voltage_min"))
        return self


class Load(Frozen):
    """A consumer: on the low-voltage side, or on traction voltage.

    `use` is the share of the time for which it is on, over the year. `short`: it is on for moments only, such as horn, brake
    lamps and indicators; what is not short may stay on for hours.
    """

    name: Text
    power: SmallPower
    use: Share
    when: Literal["driving", "standing", "always", "charging"] = "driving"
    short: bool = False
