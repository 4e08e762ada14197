"""Every consumer of the low-voltage side: what the build names, what the conversion itself draws, and what is assumed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from voltwright.assess.case import Case
from voltwright.assess.sheet import assumed_between, of_several
from voltwright.build.brief import Load
from voltwright.build.fitted import Placed
from voltwright.parts.power import Fan, Pump
from voltwright.parts.protection import Contactor, IsolationMonitor
from voltwright.physics import consumption
from voltwright.quantity.work import Node, work

Mode = Literal["driving", "charging", "standing"]
DRIVING, CHARGING = frozenset[Mode]({"driving"}), frozenset[Mode]({"charging"})
AWAKE, PARKED = DRIVING | CHARGING, frozenset[Mode]({"standing"})
MODES: dict[str, frozenset[Mode]] = {
    "driving": DRIVING,
    "charging": CHARGING,
    "standing": PARKED | CHARGING,
    "always": AWAKE | PARKED,
}


@dataclass(frozen=True)
class Consumer:
    """One load: its power while it is on, the share of the time for which it is (None: always), and when it counts."""

    power: Node
    use: Node | None
    when: frozenset[Mode]
    short: bool = False

    @property
    def mean(self) -> Node:
        """Its power by its use."""
        if self.use is None:
            return self.power
        return work(consumption.mean_power, f"{self.power.label}, by its use", power=self.power, use=self.use)

    @property
    def lasting(self) -> Node:
        """Its power over hours in which everything that can stay on is on."""
        return self.mean if self.short else self.power


@dataclass(frozen=True)
class Usual:
    """A load that nearly every donor has: power in W and use in %, each anything between two values."""

    name: str
    watts: tuple[float, float]
    use: tuple[float, float]
    why: str
    short: bool = False


LAMPS = "UN R37 filament lamps"
USUAL_LOADS = (
    Usual("Head lamps, dipped", (90, 130), (10, 30), f"{LAMPS}, two of 45 to 55 W, at 13.5 V a fifth more"),
    Usual("Side, tail, number-plate and instrument lamps", (30, 50), (10, 30), f"{LAMPS}, eight or so of 3 to 5 W"),
    Usual("Wipers", (40, 90), (5, 15), "usual for one motor and two blades"),
    Usual("Heater blower", (30, 100), (10, 40), "usual for a cabin of that time"),
    Usual("Radio and accessories", (5, 30), (10, 60), "usual for a radio and a socket for a telephone"),
    Usual("Brake lamps", (40, 53), (5, 15), f"{LAMPS}, two of 21 W", short=True),
    Usual("Indicators, all four as hazard lamps", (80, 106), (1, 5), f"{LAMPS}, four of 21 W", short=True),
    Usual("Horn", (40, 100), (0, 1), "usual for one or two horns", short=True),
)  # fmt: skip
MEASURE = "; switch it on and read a clamp meter at the battery"


def consumers(case: Case) -> tuple[Consumer, ...]:
    """Every consumer of the low-voltage side."""
    return (*_donor(case), *_guards(case), *_cooling(case), *_controls(case), *_brakes(case), *_asleep(case))


def names_driving_loads(case: Case) -> bool:
    """Whether the build names any load of its own while the car is driven."""
    return any(each.when in ("driving", "always") for each in case.build.loads_12v)


def _donor(case: Case) -> Iterator[Consumer]:
    """Lamps, wipers and the rest: as named, or as usual where the build names none."""
    yield from (_named(case, each) for each in case.build.loads_12v)
    if not names_driving_loads(case):
        yield from (_usual(each) for each in USUAL_LOADS)


def _named(case: Case, load: Load) -> Consumer:
    power = case.leaf(load.power, load.name)
    use = case.leaf(load.use, f"{load.name}, share of the time", "%")
    return Consumer(power, use, MODES[load.when], load.short)


def _usual(load: Usual) -> Consumer:
    reason = f"no load is named under loads_12v; {load.why}".replace("; ", ", ", 1) + MEASURE
    power = assumed_between(load.name, "W", reason, *load.watts)
    low, high = load.use
    use = assumed_between(f"{load.name}, share of the time", "%", reason, low / 100, high / 100)
    return Consumer(power, use, DRIVING, load.short)


def _guards(case: Case) -> Iterator[Consumer]:
    """Contactor coils, BMS and isolation monitor: on while the car is driven and while it charges."""
    guard = case.build.pack.protection
    if case.contactor is not None and guard.contactors:
        coil = case.leaf(case.contactor.coil_power, f"Coil of one contactor, {case.contactor.title}")
        yield Consumer(of_several(guard.contactors, coil, "pack.protection.contactors"), None, AWAKE)
    if guard.precharge_contactor is not None:
        relay = case.shelf.take(guard.precharge_contactor, Contactor)
        coil = case.leaf(relay.coil_power, f"Coil of the precharge contactor, {relay.title}")
        moments = assumed_between(
            "Precharge contactor, share of the time", "%", "closed for seconds at each start; read the timer", 0.0, 0.01
        )
        yield Consumer(coil, moments, AWAKE, short=True)
    if case.bms is not None:
        yield Consumer(case.leaf(case.bms.supply_power, f"BMS, {case.bms.title}"), None, AWAKE)
    if guard.isolation_monitor is not None:
        monitor = case.shelf.take(guard.isolation_monitor, IsolationMonitor)
        yield Consumer(case.leaf(monitor.supply_power, f"Isolation monitor, {monitor.title}"), None, AWAKE)


def _cooling(case: Case) -> Iterator[Consumer]:
    """Pumps run while anything is warm; fans come and go."""
    for index, placed in enumerate(case.build.fitted):
        part = case.shelf.any(placed.part)
        if isinstance(part, Pump):
            yield Consumer(_all_of(case, placed, part, f"fitted.{index}.count"), None, AWAKE)
        elif isinstance(part, Fan):
            reason = "on by its thermostat; log when it runs"
            use = assumed_between(f"{part.title}, share of the time", "%", reason, 0.1, 0.4)
            yield Consumer(_all_of(case, placed, part, f"fitted.{index}.count"), use, AWAKE)


def _all_of(case: Case, placed: Placed, part: Pump | Fan, where: str) -> Node:
    return of_several(placed.count, case.leaf(part.power, part.title), where)


def _controls(case: Case) -> Iterator[Consumer]:
    """What runs on the low-voltage side inside devices whose datasheet does not name it."""
    control = "usual, the datasheet does not name it; read a clamp meter in its 12 V feed"
    if case.inverter is not None:
        yield Consumer(assumed_between("Control of the inverter", "W", control, 8.0, 25.0), None, DRIVING)
    if case.charger is not None:
        yield Consumer(assumed_between("Control of the charger and pilot", "W", control, 4.0, 15.0), None, CHARGING)
    comfort = case.build.comfort
    for name, heater in (("cabin", comfort.cabin_heater), ("pack", comfort.pack_heater)):
        if heater is not None:
            when = DRIVING if name == "cabin" else AWAKE
            yield Consumer(assumed_between(f"Control of the {name} heater", "W", control, 2.0, 8.0), None, when)
    yield Consumer(
        assumed_between("Instruments, relays and controllers of the conversion", "W", control, 5.0, 20.0), None, AWAKE
    )


def _brakes(case: Case) -> Iterator[Consumer]:
    """The servo lost its vacuum with the engine; an electric one draws much for moments."""
    servo = case.build.servo
    if servo == "vacuum" and not any("vacuum" in each.name.casefold() for each in case.build.loads_12v):
        reason = "no engine makes vacuum for the servo, and no load is named for a pump; read a clamp meter in its feed"
        power = assumed_between("Electric vacuum pump", "W", reason, 90.0, 160.0)
        use = assumed_between("Electric vacuum pump, share of the time", "%", reason, 0.05, 0.2)
        yield Consumer(power, use, DRIVING, short=True)
    if servo == "electric" and not any("servo" in each.name.casefold() for each in case.build.loads_12v):
        reason = "usual for an electric servo while the pedal moves; read its datasheet"
        power = assumed_between("Electric brake servo", "W", reason, 250.0, 600.0)
        use = assumed_between("Electric brake servo, share of the time", "%", reason, 0.01, 0.05)
        yield Consumer(power, use, DRIVING, short=True)


def _asleep(case: Case) -> Iterator[Consumer]:
    """What is never quite off. As drains of parked cars are told: 20 to 120 mA, mostly below 75 mA."""
    clamp = "read a milliammeter in the battery's lead an hour after the car was locked"
    if case.bms is not None:
        known = case.bms.standing_power
        asleep = f"usual for a BMS that sleeps, the datasheet does not name it; {clamp}"
        label = "BMS while the car is parked"
        yield Consumer(
            case.leaf(known, label) if known else assumed_between(label, "W", asleep, 0.03, 0.4), None, PARKED
        )
    devices = f"inverter, charger, DC-DC and relays leak a little when off; {clamp}"
    yield Consumer(assumed_between("Devices that are switched off", "W", devices, 0.06, 0.36), None, PARKED)
    if not any(each.when in ("standing", "always") for each in case.build.loads_12v):
        clock = f"no standing load is named under loads_12v, usual for clock, radio memory and alarm; {clamp}"
        yield Consumer(assumed_between("Clock, radio memory and alarm", "W", clock, 0.06, 0.5), None, PARKED)
