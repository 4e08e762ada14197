"""How long does charging take on the coldest design day, and what does it cost: cells warmed first, current by temperature."""

from __future__ import annotations

from dataclasses import dataclass, replace

from voltwright.assess.case import Case, celsius
from voltwright.assess.charge_bank import Bank, reached
from voltwright.assess.sheet import Sheet, assumed, assumed_between, constant, counted
from voltwright.assess.supply import Limits
from voltwright.kernels import charging as kernel
from voltwright.parts.power import Heater
from voltwright.physics import cell_dynamics, mass
from voltwright.physics import charging as charging_law
from voltwright.physics import charging_cold as law
from voltwright.physics.charging import NEVER
from voltwright.quantity.work import Node, greatest, least, total, work

FAMILIES = ("time_full_cold", "time_heating_cold")
COLD_RAMP, HOT_RAMP = 10.0, 5.0  # K
SHORT = 0.02  # of full; a charge that ends nearer than this to its aim counts as there
COLD_WORDS = "on the coldest design day the cells are too cold to be charged, and the build names no pack heater"
NEVER_WARM = "on the coldest design day the pack sheds as much as its heater gives before the cells are warm enough"
RAMP_REASON = (
    "many datasheets lower the charging current over so many kelvin inside the limit; look for the cell's own table"
)


@dataclass(frozen=True)
class Warmth:
    """Cells and what is around them: the limits of temperature with their ramps, where they start, and how they cool."""

    coldest: Node
    cold_ramp: Node
    hottest: Node
    hot_ramp: Node
    start: Node
    surroundings: Node
    heat_capacity: Node
    shed: Node

    @property
    def taper(self) -> dict[str, Node]:
        return {
            "coldest": self.coldest,
            "cold_ramp": self.cold_ramp,
            "hottest": self.hottest,
            "hot_ramp": self.hot_ramp,
        }


@dataclass(frozen=True)
class Cold:
    """A charge on the coldest day, as worked out: how the cells were heated first, if they were, and the charge itself."""

    charged: Node
    limits: Limits
    heating: Node | None = None
    power: Node | None = None
    reaches: Node | None = None


def at_target(case: Case, sheet: Sheet, limits: Limits | str) -> Limits | str:
    """The limits of a supply, with what the cells take at the temperature to which they are brought, where one is named."""
    heated = case.build.charging.target_temperature
    if isinstance(limits, str) or heated is None:
        return limits
    share = work(
        law.warmth_share, "Share of the charging current at this temperature",
        temperature=case.leaf(heated, "Cells are brought to this temperature for charging", "°C"), **_taper(case),
    )  # fmt: skip
    cells = work(
        law.current_at_temperature,
        "Cells at their temperature",
        current=sheet.nodes["pack.current_charge"],
        share=share,
    )
    return replace(limits, current=least("Most current into the pack", [limits.current, cells]))


def _taper(case: Case) -> dict[str, Node]:
    cell = case.cell
    return {
        "coldest": case.leaf(cell.temperature_charge_min, "Coldest cell that may be charged", "°C"),
        "cold_ramp": assumed("Ramp of the charging current above the coldest", "K", RAMP_REASON, COLD_RAMP, 5.0),
        "hottest": case.leaf(cell.temperature_charge_max, "Hottest cell that may be charged", "°C"),
        "hot_ramp": assumed("Ramp of the charging current below the hottest", "K", RAMP_REASON, HOT_RAMP, 2.0),
    }


def coldest_night(case: Case) -> Warmth:
    """The cells after a night where the car stands, on the coldest design day."""
    count = constant(float(case.build.pack.module_count), "1", "Modules in all", "series × parallel", "n")
    each = case.leaf(case.module.mass, f"One module, {case.module.title}")
    capacity = work(
        cell_dynamics.heat_capacity_of, "Heat capacity of the pack",
        mass=work(mass.mass_of_several, "Modules", count=count, mass_each=each),
        specific=case.leaf(case.cell.heat_capacity, "Specific heat of a cell"),
    )  # fmt: skip
    reason = "usual for cells in a closed box; log the cells while the parked car cools"
    hours = assumed(
        "Time in which the parked pack cools to 37 % of the difference", "h", reason, 8 * 3600.0, 4 * 3600.0
    )
    place = _place(case)
    return Warmth(
        **_taper(case), start=place, surroundings=place, heat_capacity=capacity,
        shed=work(cell_dynamics.shed_in_time, "What the parked pack sheds", heat_capacity=capacity, time=hours),
    )  # fmt: skip


def _place(case: Case) -> Node:
    """Temperature where the car stands, and of its cells after a night there."""
    coldest = case.leaf(case.build.duty.climate.coldest, "Coldest design day", "°C")
    if case.build.duty.parking.place != "heated-garage":
        return coldest
    label, reason = "A heated garage on the coldest day", "kept free of frost; read a thermometer there"
    garage = assumed_between(label, "°C", reason, celsius(5), celsius(15), "duty.parking.place")
    return greatest("Where the car stands", [garage, coldest])


def cold_supply(case: Case, sheet: Sheet, name: str, bank: Bank, limits: Limits | str) -> Cold | str:
    """Enter how long a whole charge takes at a supply on the coldest design day."""
    made = limits if isinstance(limits, str) else _charge(case, sheet, bank, limits)
    if isinstance(made, str):
        for family in FAMILIES:
            sheet.lack(f"charge.{family}.{name}", made)
        return made
    time = work(kernel.time_of_charge, "Time of the charge itself", charged=made.charged)
    if made.heating is None:
        sheet.lack(f"charge.time_heating_cold.{name}", _why_not_heated(case))
        sheet.add(f"charge.time_full_cold.{name}", time)
    else:
        heating = sheet.add(f"charge.time_heating_cold.{name}", made.heating)
        sheet.add(f"charge.time_full_cold.{name}", total("Heating and charging", [heating, time]))
    return made


def _why_not_heated(case: Case) -> str:
    return "the cells are warm enough" if case.build.comfort.pack_heater else "the build names no pack heater"


def _charge(case: Case, sheet: Sheet, bank: Bank, limits: Limits) -> Cold | str:
    warmth = coldest_night(case)
    if limits.current.value <= 0 or limits.power.value <= 0:
        return "no power comes from this supply"
    starts = limits.charger_starts
    rest = bank.rest(case, bank.empty).value
    if starts is not None and rest < starts.value:
        return f"the charger works from {starts.value:.0f} V; at the start the pack rests at {rest:.0f} V"
    heater = pack_heater(case)
    if heater is None:
        return _unheated(sheet, bank, limits, warmth)
    return _heated(sheet, bank, limits, warmth, heater, warm_enough(case, warmth))


def _unheated(sheet: Sheet, bank: Bank, limits: Limits, warmth: Warmth) -> Cold | str:
    if warmth.start.value <= warmth.coldest.value:
        return COLD_WORDS
    return _worked(sheet, bank, limits, warmth, warmth.start, constant(0.0, "W", "Pack heater", "none is fitted", "P"))


def pack_heater(case: Case) -> tuple[Node, Node] | None:
    """Power of the pack heaters at full, and the share of it that reaches the cells."""
    placed = case.build.comfort.pack_heater
    if placed is None:
        return None
    part = case.shelf.take(placed.part, Heater)
    share = assumed_between("Share of the heater's power that reaches the cells", "%",
                            "pipes and boxes keep some; compare the warming with the heater's power", 0.7, 0.95)  # fmt: skip
    power = work(law.heat_to_cells, "Heaters, power at full", count=counted(placed.count, "Heaters", "comfort.pack_heater.count"),
                 power=case.leaf(part.power, "Power of a pack heater"), share=constant(1.0, "%", "Share", "all of it"))  # fmt: skip
    return power, share


def warm_enough(case: Case, warmth: Warmth) -> Node:
    """The temperature to which the cells are brought: what is asked for, else where they take the whole charging current."""
    named = case.build.charging.target_temperature
    if named is not None:
        return case.leaf(named, "Cells are brought to this temperature for charging", "°C")
    return work(
        law.whole_from, "The whole charging current from here on", coldest=warmth.coldest, ramp=warmth.cold_ramp
    )


def heated(warmth: Warmth, power: Node, share: Node, target: Node) -> tuple[Node, Node | str]:
    """What of a power reaches the cells, and how long it warms them; why not, where they never become so warm."""
    one = constant(1.0, "1", "Heating", "all of it", "n")
    reaches = work(law.heat_to_cells, "Heat that reaches the cells", count=one, power=power, share=share)
    if reaches.value <= warmth.shed.value * (target.value - warmth.surroundings.value):
        return reaches, NEVER_WARM
    time = work(
        law.heating_time, "Time of heating", heat_capacity=warmth.heat_capacity, shed=warmth.shed, power=reaches,
        start=warmth.start, target=target, surroundings=warmth.surroundings,
    )  # fmt: skip
    return reaches, time


def _heated(
    sheet: Sheet, bank: Bank, limits: Limits, warmth: Warmth, heater: tuple[Node, Node], target: Node
) -> Cold | str:
    power = least("Power of heating", [heater[0], limits.power])
    reaches, time = heated(warmth, power, heater[1], target)
    if warmth.start.value >= target.value:
        return _worked(sheet, bank, limits, warmth, warmth.start, reaches)
    if isinstance(time, str):
        return time
    made = _worked(sheet, bank, limits, warmth, target, reaches)
    return made if isinstance(made, str) else replace(made, heating=time, power=power, reaches=heater[1])


def _worked(sheet: Sheet, bank: Bank, limits: Limits, warmth: Warmth, start: Node, heater: Node) -> Cold | str:
    """The charge itself, from the temperature at which it starts."""
    source = work(
        charging_law.pack_source, "The pack as cold as it starts", **{**bank.source.inputs, "temperature": start}
    )
    cold = replace(bank, source=source)
    end = reached(cold, limits, bank.full)
    if end.value < bank.full.value - SHORT:
        return f"in the cold, at full voltage the current has fallen to its end at {end.value:.0%} charge"
    charged = work(
        kernel.charge_while_warming, "Charged while the cells warm up", start=bank.empty, end=end, capacity=bank.capacity,
        cells=sheet.nodes["pack.current_charge"], limits=limits.record, pack=source, heat_capacity=warmth.heat_capacity,
        shed=warmth.shed, surroundings=warmth.surroundings, held=start, heater=heater, **warmth.taper,
    )  # fmt: skip
    outcome: kernel.Charged = charged.value
    if outcome.time >= NEVER:
        return "the cells are so cold that no current flows"
    return Cold(charged, limits)


def cold_energy(sheet: Sheet, name: str, cold: Cold | str) -> None:
    """Enter what the wall gives for a whole charge on the coldest design day, heating and all."""
    key = "charge.wall_energy_full_cold"
    if isinstance(cold, str) or cold.limits.efficiency is None:
        sheet.lack(key, sheet.reasons.get(f"charge.time_full_cold.{name}", "the charger is not known"))
        return
    terms = [work(kernel.energy_of_charge, "Energy into the pack", charged=cold.charged)]
    if cold.heating is not None and cold.power is not None and cold.reaches is not None:
        terms.append(work(law.heating_energy, "Heating first", power=cold.power, time=cold.heating))
        held = work(kernel.heat_of_charge, "Heat that holds the cells warm", charged=cold.charged)
        terms.append(work(law.energy_for_heat, "Holding them warm", heat=held, share=cold.reaches))
    energy = total("Energy behind the charger", terms, "kWh")
    sheet.add(
        key,
        work(charging_law.energy_from_wall, "Energy from the wall", energy=energy, efficiency=cold.limits.efficiency),
    )
