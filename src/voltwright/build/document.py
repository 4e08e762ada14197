"""The whole build: one conversion of one car."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, Literal, cast

from pydantic import AfterValidator, BaseModel, Field, field_validator, model_validator

from voltwright.build.base import Frozen, Name, PartId, Says, Text
from voltwright.build.brief import Brief, Duty, Load, Supply
from voltwright.build.costing import Costing
from voltwright.build.donor import Donor
from voltwright.build.fitted import Braking, Charging, Comfort, Drive, Extra, LowVoltage, Pack, Placed
from voltwright.build.works import Work
from voltwright.quantity.entry import Entry, Mass
from voltwright.quantity.errors import Problem, QuantityError
from voltwright.quantity.frozen import ReadOnly
from voltwright.quantity.units import CURRENCIES

FORMAT = 1
MOST_VARIANTS = 20
ChangedPath = Annotated[
    str, Field(min_length=1, max_length=200), Says("the path of what is changed, such as pack.boxes.0.modules")
]


def known_currency(value: str) -> str:
    """The code of a currency. Raises QuantityError naming those that there are."""
    if value not in CURRENCIES:
        mend = f"write {value.upper()}" if value.upper() in CURRENCIES else "write EUR, or the code of your money"
        raise QuantityError(Problem(f"'{value[:20]}' is not a currency code", ", ".join(sorted(CURRENCIES)), mend))
    return value


class Variant(Frozen):
    """A named set of changes: a path of the document and what stands there instead."""

    of: Name | None = None
    why: Text | None = None
    changes: Annotated[dict[ChangedPath, Any], AfterValidator(ReadOnly)] = ReadOnly()


class Build(Frozen):
    """All that the workshop wrote down of one conversion. Every value knows where it came from."""

    voltwright: Literal[1]
    title: Text
    workshop: Text | None = None
    currency: Annotated[str, Says("a currency code of ISO 4217, such as EUR, GBP or USD")] = "EUR"
    country: Annotated[str, Field(pattern=r"^[A-Z]{2}$"), Says("a country code of ISO 3166, such as IE")] | None = None
    person_mass: Mass
    brief: Brief
    donor: Donor
    drive: Drive
    pack: Pack
    braking: Braking = Braking()
    charging: Charging = Charging()
    supplies: tuple[Supply, ...] = ()
    low_voltage: LowVoltage = LowVoltage()
    comfort: Comfort = Comfort()
    loads_12v: tuple[Load, ...] = ()
    loads_traction: tuple[Load, ...] = ()
    fitted: tuple[Placed, ...] = ()
    extras: tuple[Extra, ...] = ()
    works: tuple[Work, ...] = ()
    duty: Duty
    costing: Costing
    variants: Annotated[dict[Name, Variant], Field(max_length=MOST_VARIANTS), AfterValidator(ReadOnly)] = ReadOnly()

    @field_validator("currency")
    @classmethod
    def _currency_is_known(cls, value: str) -> str:
        return known_currency(value)

    @model_validator(mode="after")
    def _rates_are_in_its_currency(self) -> Build:
        rated = [("costing.labour_rate", self.costing.labour_rate), ("brief.price", self.brief.price)]
        rated += [(f"costing.tasks.{index}.rate", task.rate) for index, task in enumerate(self.costing.tasks)]
        for path, entry in rated:
            if entry is not None and entry.unit.spelling.split("/")[0] != self.currency:
                what, allowed = f"'{entry.text}' is not in the currency of the build", f"money in {self.currency}"
                raise QuantityError(Problem(what, allowed, f"write it in {self.currency}", path))
        return self

    @property
    def servo(self) -> Literal["none", "vacuum", "electric"]:
        """What helps the foot: what is fitted, or else what the donor had."""
        return self.braking.servo or self.donor.brakes.servo

    def placed(self) -> Iterator[tuple[str, Placed]]:
        """Every part with a place, with its path."""
        single = {
            "drive.motor": self.drive.motor,
            "drive.inverter": self.drive.inverter,
            "drive.gearing.gear_unit": self.drive.gearing.gear_unit,
            "charging.charger": self.charging.charger,
            "low_voltage.dc_dc": self.low_voltage.dc_dc,
            "low_voltage.battery": self.low_voltage.battery,
            "comfort.cabin_heater": self.comfort.cabin_heater,
            "comfort.pack_heater": self.comfort.pack_heater,
        }
        yield from ((path, each) for path, each in single.items() if each is not None)
        yield from ((f"fitted.{index}", each) for index, each in enumerate(self.fitted))

    def part_ids(self) -> Iterator[tuple[str, PartId]]:
        """Every id of a part that the build names, with its path. The cell is named by the module."""
        yield "pack.module", self.pack.module
        yield from ((f"{path}.part", each.part) for path, each in self.placed())
        found = self.pack.condition.strings if self.pack.condition else ()
        yield from (
            (f"pack.condition.strings.{at}.module", each.module) for at, each in enumerate(found) if each.module
        )
        guard = self.pack.protection
        single = {
            "pack.bms.part": self.pack.bms.part,
            "charging.inlet": self.charging.inlet,
            "pack.protection.fuse": guard.fuse,
            "pack.protection.contactor": guard.contactor,
            "pack.protection.precharge_contactor": guard.precharge_contactor,
            "pack.protection.msd": guard.msd,
            "pack.protection.isolation_monitor": guard.isolation_monitor,
            "pack.protection.main_cable.part": guard.main_cable.part if guard.main_cable else None,
        }
        yield from ((path, each) for path, each in single.items() if each is not None)

    def entries(self) -> Iterator[tuple[str, Entry]]:
        """Every quantity of the document with its path."""
        yield from _entries(self, "")


def _entries(value: Any, path: str) -> Iterator[tuple[str, Entry]]:
    if isinstance(value, Entry):
        yield path, value
    elif isinstance(value, BaseModel):
        for name in type(value).model_fields:
            yield from _entries(getattr(value, name), f"{path}.{name}" if path else name)
    elif isinstance(value, tuple):
        for index, item in enumerate(cast(tuple[Any, ...], value)):
            yield from _entries(item, f"{path}.{index}")
    elif isinstance(value, dict):
        for key, item in cast(dict[str, Any], value).items():
            yield from _entries(item, f"{path}.{key}")
