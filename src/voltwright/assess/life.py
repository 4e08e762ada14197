"""How long will the battery last? Standing and cycling over the years of the duty, from the health of what is fitted."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from voltwright.assess.case import Case, origin_of
from voltwright.assess.cost import price_of
from voltwright.assess.habit import times_a_week
from voltwright.assess.life_aged import AGED, assess_aged
from voltwright.assess.life_stress import YEAR, months_of, turnover_of, use_of
from voltwright.assess.life_warmth import warmth_of_driving
from voltwright.assess.low_voltage import MONTH
from voltwright.assess.pack import Arrangement, arrangement
from voltwright.assess.sheet import Sheet, assumed, assumed_between, constant
from voltwright.assess.trips import main_trip
from voltwright.kernels import lives
from voltwright.physics import ageing as law
from voltwright.physics import low_voltage, money
from voltwright.quantity.provenance import Origin
from voltwright.quantity.source import Source
from voltwright.quantity.spread import EXACT
from voltwright.quantity.work import Node, leaf, total, work

TEN = 10  # years
NOT_DRIVEN = "the car is not driven (duty.distance)"
TOO_LONG = "more than 30 years by the model; nobody has tested that, and below 80 % no law holds"
SPENT = "80 % of the rated capacity or less are left already"
RATED_CYCLES = (1000.0, 2000.0)  # common practice: some 1,500
OF_MODEL = (
    "life.years_to_80", "life.distance_to_80", "life.capacity_at_10_years", "life.capacity_at_10_years_second",
    "life.calendar_share", "life.resistance_at_10_years", *AGED, "life.years_to_brief_range", "life.cycles_per_year",
    "life.replacement_cost_per_year", "life.replacement_cost_per_km",
)  # fmt: skip


@dataclass(frozen=True)
class Model:
    """Which laws stand for a chemistry; how far cells lie about them, as a share of the loss by standing and by cycling."""

    name: str
    standing: float
    cycling: float
    why: str

    @property
    def is_borrowed(self) -> bool:
        return self.why == _OTHER


_NMC_WHY = "cells of one chemistry differ as much from Schmalstieg 2014"
_OTHER = "no law of its own with constants that could be read: that of NMC, Schmalstieg 2014, stands for it"
MODELS = {
    "nmc": Model("schmalstieg-2014", 0.2, 0.3, _NMC_WHY),
    "nca": Model("schmalstieg-2014", 0.4, 0.4, _OTHER),
    "lco": Model("schmalstieg-2014", 0.4, 0.4, _OTHER),
    "lfp": Model("naumann", 0.2, 0.3, "cells of one chemistry differ as much from Naumann 2018 and 2020"),
}


def assess_life(case: Case, sheet: Sheet) -> None:
    """Enter every figure of the question `life`."""
    _rule_of_thumb(case, sheet)
    _lay_up(case, sheet)
    use = _never_charged(case) or use_of(case, sheet)
    if isinstance(use, str):
        for key in OF_MODEL:
            sheet.lack(key, use)
        return
    made = arrangement(case)
    inputs = _inputs(case, sheet, made)
    turnover = turnover_of(case, sheet, use, made.health)
    warm = warmth_of_driving(case, sheet, use, inputs["months"])
    inputs |= {
        "trip": use.length, "way_full": turnover.way_full, "again": turnover.again, "rate": turnover.rate,
        "warm": warm.time, "rise": warm.rise,
    }  # fmt: skip
    year = constant(YEAR, "d", "A year", "by definition", "t")
    cycles = work(
        law.full_cycles,
        "Equivalent full cycles",
        speed=inputs["speed"],
        time=year,
        again=turnover.again,
        way=turnover.way_full,
    )
    sheet.add("life.cycles_per_year", cycles)
    lived = work(lives.lived, "Years of life", **inputs)
    _years(case, sheet, lived, inputs["speed"])
    _after_ten(case, sheet, lived, made)
    _second(case, sheet, inputs)
    _replacement(case, sheet)


def _never_charged(case: Case) -> str:
    """Why the pack is never charged; empty where it is."""
    if case.build.duty.habit.limit.value > case.build.pack.window.empty.value:
        return ""
    return "the customer stops charging below the lowest charge that is used (duty.habit.limit)"


def _named(value: object, label: str, why: str) -> Node:
    return leaf(value, "1", label, Origin("by definition", reason=why))


def _inputs(case: Case, sheet: Sheet, made: Arrangement) -> dict[str, Node]:
    """What the years of life start from, but for what the trips take."""
    duty, window, model = case.build.duty, case.build.pack.window, MODELS[case.cell.chemistry]
    parked = case.leaf(duty.parking.charge, "Charge at which the car is parked", "%")
    rest = duty.lay_up
    return {
        "model": _named(model.name, f"Laws: {model.name}", f"those for {case.cell.chemistry} cells"),
        "table": case.open_circuit,
        "months": months_of(case),
        "speed": case.leaf(duty.distance, "Yearly distance", "km/year"),
        "charges": times_a_week(case),
        "limit": case.leaf(duty.habit.limit, "Charge at which charging stops", "%"),
        "empty": case.leaf(window.empty, "Lowest charge that is used", "%"),
        "parked": parked,
        "laid_up": case.leaf(rest.charge, "Charge at which the car is laid up", "%") if rest.charge else parked,
        "rest": leaf(float(rest.months), "1", "Months laid up", Origin("entered", where="duty.lay_up.months")),
        "health": made.health,
        "past": _past(made),
        "growth": made.growth,
        "standing": assumed("Loss by standing as a multiple of the law's", "1", model.why, 1.0, model.standing),
        "cycling": assumed("Loss by cycling as a multiple of the law's", "1", model.why, 1.0, model.cycling),
        "needed": _needed(case, sheet, made),
    }  # fmt: skip


def _past(made: Arrangement) -> Node:
    label = "What of the loss so far is by standing"
    if made.health.is_leaf and made.health.value == 1.0 and made.health.spread is EXACT:
        return constant(0.5, "%", label, "nothing is lost yet", "y_c")
    reason = (
        "how modules that are not new lost their capacity is not known; the history of the car they came from tells"
    )
    return assumed_between(label, "%", reason, 0.3, 0.9, "pack.condition")


def _needed(case: Case, sheet: Sheet, made: Arrangement) -> Node:
    """The capacity at which the range of the brief is left; nothing where none is asked for."""
    wish, way = case.build.brief.range, sheet.nodes.get(f"road.range.{main_trip(case)}")
    label = "Capacity at which the range of the brief is left"
    if wish is None or way is None:
        return constant(0.0, "%", label, "no range to compare with", "h_b")
    wanted = case.leaf(wish, "Range of the brief", "km")
    return work(law.capacity_for_range, label, health=made.health, wanted=wanted, way=way)


def _years(case: Case, sheet: Sheet, lived: Node, speed: Node) -> None:
    """Years and distance until 80 % are left, and until the range of the brief is no longer reached."""
    years = work(lives.years_to_end, "Years", lived=lived)
    why = _no_years(years.value, SPENT)
    if why:
        sheet.lack("life.years_to_80", why)
        sheet.lack("life.distance_to_80", why)
    else:
        years = sheet.add("life.years_to_80", years)
        sheet.add("life.distance_to_80", work(law.distance_in, "Distance", speed=speed, time=years))
    key, trip = "life.years_to_brief_range", main_trip(case)
    if case.build.brief.range is None:
        sheet.lack(key, "the brief names no range")
    elif f"road.range.{trip}" not in sheet.nodes:
        sheet.lack(key, sheet.reasons.get(f"road.range.{trip}", f"there is no trip '{trip}'"))
    else:
        years = work(lives.years_to_needed, "Years", lived=lived)
        why = _no_years(years.value, "the range is below that of the brief already")
        if why:
            sheet.lack(key, why)
        else:
            sheet.add(key, years)


def _no_years(seconds: float, spent: str) -> str:
    """Why there is no number of years; empty where there is."""
    if math.isnan(seconds) or seconds > lives.YEARS * YEAR:
        return TOO_LONG
    return "" if seconds > 0.0 else spent


def _after_ten(case: Case, sheet: Sheet, lived: Node, made: Arrangement) -> None:
    ten = constant(float(TEN), "1", "Years", "those of the figure", "n")
    sheet.add(
        "life.capacity_at_10_years", work(lives.capacity_after, "Capacity after ten years", lived=lived, years=ten)
    )
    sheet.add("life.calendar_share", work(lives.standing_share, "Share by standing", lived=lived, years=ten))
    sheet.add(
        "life.resistance_at_10_years",
        work(lives.resistance_after, "Resistance after ten years", lived=lived, years=ten),
    )
    assess_aged(case, sheet, made)


def _second(case: Case, sheet: Sheet, inputs: dict[str, Node]) -> None:
    """The same years with another law of cycling, where there is one for the chemistry."""
    key = "life.capacity_at_10_years_second"
    if case.cell.chemistry != "lfp":
        sheet.lack(
            key,
            f"there is no second law of cycling for {case.cell.chemistry.upper()} cells whose constants could be read",
        )
        return
    other = inputs | {"model": _named("wang-2011", "Laws: wang-2011", "cycling by Wang 2011, standing as before")}
    lived = work(lives.lived, "Years of life by the second law", **other)
    ten = constant(float(TEN), "1", "Years", "those of the figure", "n")
    sheet.add(key, work(lives.capacity_after, "Capacity after ten years", lived=lived, years=ten))


def _rule_of_thumb(case: Case, sheet: Sheet) -> None:
    """Rated cycles times the range of one charge."""
    keys, trip = ("life.rule_of_thumb_distance", "life.rule_of_thumb_years"), main_trip(case)
    way = sheet.nodes.get(f"road.range.{trip}")
    if way is None:
        for key in keys:
            sheet.lack(key, sheet.reasons.get(f"road.range.{trip}", f"there is no trip '{trip}'"))
        return
    far = sheet.add(
        keys[0], work(law.distance_of_cycles, "Rated cycles times range", cycles=rated_cycles(case), way=way)
    )
    speed = case.leaf(case.build.duty.distance, "Yearly distance", "km/year")
    if not speed.value:
        sheet.lack(keys[1], NOT_DRIVEN)
        return
    sheet.add(keys[1], work(law.years_of, "Years", distance=far, speed=speed))


def rated_cycles(case: Case) -> Node:
    """Cycles until 80 % are left, as the datasheet rates them."""
    cell, label = case.cell, "Rated cycles"
    if cell.cycles_rated is None:
        reason = "the datasheet rates none; batteries of this kind are rated for about 1,500"
        return assumed_between(label, "1", reason, *RATED_CYCLES)
    rated = leaf(float(cell.cycles_rated), "1", label, origin_of(cell, "cycles_rated"), symbol="n")
    if cell.cycles_rated_to is None or not 0.3 < cell.cycles_rated_to.value < 0.99:
        return rated
    left = case.leaf(cell.cycles_rated_to, "Capacity left after the rated cycles", "%")
    return work(law.cycles_to_end, "Rated cycles until 80 % are left", cycles=rated, left=left)


def _replacement(case: Case, sheet: Sheet) -> None:
    """Today's price of the modules, by year and kilometre."""
    keys = ("life.replacement_cost_per_year", "life.replacement_cost_per_km")
    price = price_of(case, case.build.pack.module)
    why = sheet.reasons.get("life.years_to_80", "")
    if price is None:
        why = f"no price in {case.build.currency} for {case.build.pack.module}"
    if why or price is None:
        for key in keys:
            sheet.lack(key, why)
        return
    currency, counted = case.build.currency, Origin("by definition", reason="series × parallel")
    count = leaf(Decimal(case.build.pack.module_count), "1", "Modules in all", counted, symbol="n")
    whole = work(money.line_price, "Price of the modules", currency, count=count, price=price)
    year = constant(YEAR, "year", "One year", "by definition", "t")
    kilometre = constant(1000.0, "km", "One kilometre", "by definition", "d")
    years, distance = sheet.nodes["life.years_to_80"], sheet.nodes["life.distance_to_80"]
    sheet.add(keys[0], work(money.price_by_year, "By the year", currency, amount=whole, year=year, years=years))
    if not distance.value:
        sheet.lack(keys[1], NOT_DRIVEN)
        return
    by_way = work(
        money.price_by_kilometre, "By the kilometre", currency, amount=whole, kilometre=kilometre, distance=distance
    )
    sheet.add(keys[1], by_way)


def _lay_up(case: Case, sheet: Sheet) -> None:
    """Days until a pack that is laid up is at its lowest used charge."""
    key, rest = "life.lay_up_days_pack", case.build.duty.lay_up
    if not rest.months:
        sheet.lack(key, "the duty names no lay-up (duty.lay_up.months)")
        return
    energy = sheet.nodes["pack.energy_gross"]
    drain = assumed_between(
        "Self-discharge of the cells in a month",
        "%",
        f"usual for lithium cells in a cool place, {Source('self-discharge-survey').short}; weigh charge before and after",
        0.01,
        0.03,
    )
    month = constant(MONTH, "d", "A month", "a twelfth of a year", "t")
    boards = assumed_between(
        "What the monitor boards draw from the cells", "W", "usual for boards that sleep; ask their maker", 0.02, 0.3
    )
    drains = [
        work(law.self_discharge_power, "Self-discharge of the pack", energy=energy, lost=drain, time=month), boards,
    ]  # fmt: skip
    days = sheet.nodes.get("wiring.standing_days_pack")
    if days is not None:
        drains.append(days.inputs["power"])
    charge = rest.charge or case.build.duty.parking.charge
    given = {
        "energy": energy,
        "charge": case.leaf(charge, "Charge at which the car is laid up", "%"),
        "empty": case.leaf(case.build.pack.window.empty, "Lowest charge that is used", "%"),
        "power": total("What drains the pack that stands", drains, "W"),
    }
    sheet.add(key, work(low_voltage.pack_standing_time, "Days laid up", **given))
