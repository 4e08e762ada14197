"""A build with the datasheets of the parts that it names."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeVar

from voltwright.build.beside import Beside
from voltwright.build.coast_down import RoadLoad
from voltwright.build.document import Build
from voltwright.build.fitted import Placed
from voltwright.parts.base import Part
from voltwright.parts.battery import Bms, Cell, Module
from voltwright.parts.drive import Inverter, Motor
from voltwright.parts.power import Charger, DcDc
from voltwright.parts.protection import Contactor, Fuse, Msd
from voltwright.parts.shelf import Shelf
from voltwright.parts.trips import Trip
from voltwright.quantity.entry import Entry
from voltwright.quantity.provenance import Origin
from voltwright.quantity.source import Source
from voltwright.quantity.table import Curve, Grid
from voltwright.quantity.units import Unit
from voltwright.quantity.work import Node, leaf

if TYPE_CHECKING:
    from voltwright.assess.resistance import Resistance

AnyPart = TypeVar("AnyPart", bound=Part)


@dataclass(frozen=True, eq=False)
class Case:
    """What an assessment starts from."""

    build: Build
    shelf: Shelf
    beside: Beside = field(default_factory=Beside)

    @property
    def traces(self) -> Mapping[str, Trip]:
        """The speed traces by the name of their journey in `duty.trips`."""
        return self.beside.traces

    @property
    def road_load(self) -> RoadLoad | None:
        """A, B and C of the coast-down, read from its file or typed in."""
        known = self.build.donor.coast_down
        if known is None or known.file is not None:
            assert known is None or self.beside.coast_down is not None, "the file of the coast-down was not read"
            return self.beside.coast_down
        assert known.a is not None
        assert known.c is not None
        return RoadLoad(known.a, known.b, known.c)

    @functools.cached_property
    def module(self) -> Module:
        return self.shelf.take(self.build.pack.module, Module)

    @functools.cached_property
    def cell(self) -> Cell:
        return self.shelf.take(self.module.cell, Cell)

    @functools.cached_property
    def motor(self) -> Motor | None:
        return self._placed(self.build.drive.motor, Motor)

    @functools.cached_property
    def inverter(self) -> Inverter | None:
        return self._placed(self.build.drive.inverter, Inverter)

    @functools.cached_property
    def charger(self) -> Charger | None:
        return self._placed(self.build.charging.charger, Charger)

    @functools.cached_property
    def dc_dc(self) -> DcDc | None:
        return self._placed(self.build.low_voltage.dc_dc, DcDc)

    @functools.cached_property
    def bms(self) -> Bms | None:
        named = self.build.pack.bms.part
        return self.shelf.take(named, Bms) if named else None

    @functools.cached_property
    def contactor(self) -> Contactor | None:
        named = self.build.pack.protection.contactor
        return self.shelf.take(named, Contactor) if named else None

    @functools.cached_property
    def fuse(self) -> Fuse | None:
        named = self.build.pack.protection.fuse
        return self.shelf.take(named, Fuse) if named else None

    @functools.cached_property
    def msd(self) -> Msd | None:
        named = self.build.pack.protection.msd
        return self.shelf.take(named, Msd) if named else None

    def _placed(self, placed: Placed | None, kind: type[AnyPart]) -> AnyPart | None:
        return self.shelf.take(placed.part, kind) if placed else None

    @functools.cached_property
    def part_ids(self) -> tuple[str, ...]:
        """Every part of the build, the cell included."""
        named = {part_id for _, part_id in self.build.part_ids()} | {self.module.cell}
        return tuple(sorted(named))

    @functools.cached_property
    def open_circuit(self) -> Node:
        return self._table(
            self.cell.open_circuit_voltage.curve("open-circuit voltage over charge"), "V", "open_circuit_voltage"
        )

    @functools.cached_property
    def resistance_10s(self) -> Node:
        return self._table(
            self.cell.resistance_10s.grid("resistance of a cell over charge and temperature, 10 s"),
            "mΩ",
            "resistance_10s",
        )

    def _table(self, table: Curve | Grid, unit: str, field: str) -> Node:
        return leaf(table, unit, str(table), origin_of(self.cell, field))

    @functools.cached_property
    def worked(self) -> dict[str, Resistance]:
        """What several questions share: worked once, so that a band moves its leaves once."""
        return {}

    @property
    def resistance(self) -> Resistance | None:
        return self.worked.get("resistance")

    @functools.cached_property
    def leaves(self) -> dict[int, Node]:
        """One leaf for each entry, however often it is used."""
        return {}

    def leaf(self, entry: Entry, label: str, unit: str | None = None) -> Node:
        """The leaf of an entry. The same entry gives the same leaf, so that a band moves it once."""
        known = self.leaves.get(id(entry))
        if known is None:
            known = self.leaves[id(entry)] = entry.node(label, unit)
        return known


def origin_of(part: Part, field: str) -> Origin:
    """Where a table of a datasheet comes from."""
    known = part.fields.get(field)
    source = known.source if known else part.source
    return Origin("datasheet", where=f"{part.id}: {field}", source=Source(source), grade=part.grade_of(field))


def celsius(value: float) -> float:
    """A temperature of a stated condition, in K."""
    return Unit("°C").to_si(value)
