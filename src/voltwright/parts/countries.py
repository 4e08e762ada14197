"""Rule packs: what the law of a country asks of a converted car, as data. Each rule says how far its text was seen, and when."""

from __future__ import annotations

import functools
import json
from datetime import date
from importlib.resources import files
from typing import Annotated, Literal

from pydantic import Field, model_validator

from voltwright.parts.alterations import Kind, Where
from voltwright.parts.base import Frozen

Seen = Literal["read", "copy", "memory"]
Name = Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")]
Way = Literal["gearbox-kept", "gear-unit", "direct", "axle-drive"]


class Law(Frozen):
    """One rule in our own words: `law` names the text and the place in it, `edition` in which state it was seen.

    `seen_on` is the day on which it was read, or read in a copy; what comes from memory has none.
    """

    id: Name
    title: str
    law: str
    region: str = ""
    says: str
    address: str | None
    edition: str
    seen: Seen
    seen_on: date | None
    severity: Literal["stop", "caution", "note"]
    remedy: str

    @model_validator(mode="after")
    def _memory_has_no_day(self) -> Law:
        if (self.seen == "memory") != (self.seen_on is None):
            raise ValueError(f"{self.id}: a text that was seen has a day, one from memory has none")
        return self


class Component(Frozen):
    """What counts points while it is original.

    It is lost by works of these kinds at these places, by these ways of gearing, or `always` by an electric conversion.
    `must_stay`: without it no number of points is enough.
    """

    name: str
    points: int
    must_stay: bool = False
    kinds: tuple[Kind, ...]
    where: tuple[Where, ...]
    ways: tuple[Way, ...] = ()
    always: bool = False


class Points(Law):
    """Identity is kept with so many points from original components."""

    asks: Literal["points"]
    needed: int
    components: tuple[Component, ...]


class Structure(Law):
    """Works of these kinds at these places have a consequence; only those in load-bearing metal where that is said."""

    asks: Literal["structure"]
    kinds: tuple[Kind, ...]
    where: tuple[Where, ...]
    load_bearing: bool = False


class ShareLimit(Law):
    """A share of the donor's power or mass lies within limits; `of` is the figure."""

    asks: Literal["share"]
    of: Literal["works.power_share", "works.power_share_peak", "works.mass_share"]
    least: float | None = None
    most: float | None = None


class Gross(Law):
    """The laden car is not heavier than its maker allows."""

    asks: Literal["gross"]


class Voltage(Law):
    """High voltage begins above `dc` or `ac` (V); isolation for each volt (Ω)."""

    asks: Literal["voltage"]
    dc: float
    ac: float
    ohm_per_volt_dc: float
    ohm_per_volt_ac: float


class Historic(Law):
    """A car of so many years has a status that a new drive may cost."""

    asks: Literal["historic"]
    years: int


class Duty(Law):
    """Somebody must approve the car, or be told."""

    asks: Literal["approval", "tell"]


AnyLaw = Annotated[Points | Structure | ShareLimit | Gross | Voltage | Historic | Duty, Field(discriminator="asks")]


class Pack(Frozen):
    """The rules of one country (ISO 3166), and whom to ask."""

    country: Annotated[str, Field(pattern=r"^[A-Z]{2}$")]
    name: str
    authority: str
    laws: tuple[AnyLaw, ...]

    @property
    def points(self) -> Points | None:
        """Its rule of points, where it has one."""
        return next((each for each in self.laws if isinstance(each, Points)), None)

    @property
    def oldest(self) -> date | None:
        """The day on which the oldest of its texts was seen."""
        return min((each.seen_on for each in self.laws if each.seen_on), default=None)


@functools.cache
def packs() -> dict[str, Pack]:
    """Every pack by the code of its country."""
    folder = files("voltwright.parts").joinpath("standards").joinpath("countries")
    read = (Pack.model_validate(json.loads(each.read_text(encoding="utf-8"))) for each in folder.iterdir())
    return {each.country: each for each in sorted(read, key=lambda each: each.country)}


def pack_of(country: str | None) -> Pack | None:
    """The pack of a country, or None where there is none."""
    return packs().get(country or "")
