"""Radiators and fans: which air goes through the core while the car stands and while it climbs, and what is shed at that."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from itertools import groupby

from voltwright.assess.case import Case, origin_of
from voltwright.assess.heat_duties import stream_of_hill
from voltwright.assess.heat_loop import LITRE_PER_MINUTE, Loop
from voltwright.assess.sheet import CONDITION, Sheet, assumed_between, constant, counted
from voltwright.kernels import warmth
from voltwright.parts.power import Fan, Radiator
from voltwright.physics import air, exchanger, heat_paths, pipe_flow
from voltwright.quantity.table import Curve
from voltwright.quantity.work import Node, greatest, leaf, least, total, work

RATED_AIR = 3.0  # m/s through the core: for that the datasheets of radiators hold
NO_SOURCE = "common practice, no source"


def box_fans(case: Case) -> list[tuple[int, Fan]]:
    """The fans that blow through boxes: where there is a radiator, the largest fan stands behind it."""
    fans = _fans(case)
    behind = _radiator_fan(case)
    return [each for each in fans if behind is None or each[0] != behind[0]]


def _fans(case: Case) -> list[tuple[int, Fan]]:
    return [
        (index, part)
        for index, each in enumerate(case.build.fitted)
        for part in [case.shelf.any(each.part)]
        if isinstance(part, Fan)
    ]


def _radiator_fan(case: Case) -> tuple[int, Fan] | None:
    """The fan behind the radiator: the largest; where several are alike, all of that line."""
    fans = _fans(case)
    return max(fans, key=lambda each: each[1].flow_free.value) if fans and radiators_of(case) else None


def radiators_of(case: Case) -> list[Radiator]:
    """Every radiator that is fitted, each as often as it is."""
    found = (case.shelf.any(each.part) for each in case.build.fitted for _ in range(each.count))
    return [each for each in found if isinstance(each, Radiator)]


@dataclass(frozen=True, eq=False)
class Radiators:
    """The radiators of a build at the flow of its loop, in the air of the hottest day."""

    case: Case
    sheet: Sheet

    @functools.cached_property
    def loop(self) -> Loop:
        return Loop(self.case)

    @functools.cached_property
    def density(self) -> Node:
        """Of the air on the hottest day."""
        assert self.sheet.simulated is not None
        known = self.sheet.simulated.car.inputs["density"].inputs
        hottest = self.case.leaf(self.case.build.duty.climate.hottest, "Hottest design day", "°C")
        return work(air.air_density, "Density of the air on the hottest day", **{**known, "temperature": hottest})

    @functools.cached_property
    def speed(self) -> Node:
        """Of the car on the hill."""
        assert self.sheet.simulated is not None
        hill = stream_of_hill(self.case, self.sheet, self.sheet.simulated)
        return work(warmth.speed_of, "Speed on the hill", stream=hill)

    @functools.cached_property
    def standing(self) -> Node:
        """What they shed for each kelvin while the car stands."""
        if self.fan is None:
            share = assumed_between(
                "Radiator in still air, by its datasheet", "%", "no fan blows through it; " + NO_SOURCE, 0.02, 0.06
            )
            sheds = [self.case.leaf(each.conductance, each.title) for each in radiators_of(self.case)]
            whole = total("Radiators by their datasheets", sheds, "W/K")
            return work(exchanger.still_radiator, "Radiators in still air", conductance=whole, share=share)
        return self._shed(self.air_standing, "while the car stands")

    @functools.cached_property
    def climbing(self) -> Node:
        """What they shed for each kelvin at the speed of the hill, by wind and fan."""
        return self._shed(self.air_climbing, "on the hill")

    @functools.cached_property
    def fan(self) -> tuple[int, Fan] | None:
        return _radiator_fan(self.case)

    @functools.cached_property
    def face(self) -> Node:
        """Face of all cores, which stand side by side before the fan."""
        faces = [self._face(each) for each in radiators_of(self.case)]
        return faces[0] if len(faces) == 1 else total("Face of all radiators", faces, "m²")

    def _face(self, part: Radiator) -> Node:
        return work(
            exchanger.face_of, f"Face of {part.title}", width=self.case.leaf(part.width, f"Width of {part.title}"),
            height=self.case.leaf(part.height, f"Height of {part.title}"),
        )  # fmt: skip

    @functools.cached_property
    def _core(self) -> tuple[Node, Node]:
        """Pressure that the core takes at 3 m/s of air, and the flow that is."""
        first, *more = radiators_of(self.case)
        known = assumed_between(
            "Pressure of a core of 32 mm at 3 m/s of air",
            "Pa",
            "tubes and fins with louvres; " + NO_SOURCE,
            60.0,
            130.0,
        )
        usual = constant(0.032, "mm", "Depth of that core", "by definition of it")
        depth = self.case.leaf(first.depth, f"Depth of {first.title}")
        flow = work(
            pipe_flow.flow_through,
            f"Air through {'all radiators' if more else first.title}",
            speed=_rated_air(),
            area=self.face,
        )
        return work(
            exchanger.core_takes, "Pressure of the core at 3 m/s", known=known, known_depth=usual, depth=depth
        ), flow

    @functools.cached_property
    def _wind(self) -> Node:
        """Speed of the air in the core by the road alone."""
        share = assumed_between(
            "Air through the core, by the road speed", "%", "behind a grille, without a duct; " + NO_SOURCE, 0.10, 0.25
        )
        return work(exchanger.wind_in_core, "Air through the core by the road", share=share, speed=self.speed)

    def _blown(self, push: Node) -> Node:
        """Air through the core by the fan, helped by a pressure of the wind."""
        assert self.fan is not None
        index, part = self.fan
        table = part.pressure
        assert table is not None
        curve = Curve(
            tuple(at * LITRE_PER_MINUTE for at in table.litre_per_minute), tuple(table.value), f"pressure of {part.title} over its flow"
        )  # fmt: skip
        drop, at_flow = self._core
        flow = work(
            pipe_flow.flow_of_fans, "Air through the core", curve=leaf(curve, "Pa", str(curve), origin_of(part, "pressure")),
            count=counted(self.case.build.fitted[index].count, "Fans of this kind", f"fitted.{index}.count"),
            drop=drop, at_flow=at_flow, push=push,
        )  # fmt: skip
        return work(pipe_flow.speed_in, "Speed of the air in the core", flow=flow, area=self.face)

    @functools.cached_property
    def air_standing(self) -> Node:
        """Speed of the air in the core by the fan alone."""
        assert self.fan is not None
        index, part = self.fan
        if part.pressure is not None:
            return self._blown(constant(0.0, "Pa", "Pressure of the wind", "the car stands"))
        reason = "the fan's datasheet has no pressure over flow; " + NO_SOURCE
        share = assumed_between("Flow of a fan through a core, by its free flow", "%", reason, 0.4, 0.75)
        count = counted(self.case.build.fitted[index].count, "Fans of this kind", f"fitted.{index}.count")
        flow = work(
            pipe_flow.share_of_free, "Air through the core", free=self.case.leaf(part.flow_free, f"Free flow of {part.title}"),
            count=count, share=share,
        )  # fmt: skip
        return work(pipe_flow.speed_in, "Speed of the air in the core", flow=flow, area=self.face)

    @functools.cached_property
    def air_climbing(self) -> Node:
        """Speed of the air in the core at the speed of the hill: wind and fan."""
        if self.fan is None:
            return self._wind
        if self.fan[1].pressure is None:
            return greatest("Air through the core, by the fan or by the road", [self.air_standing, self._wind], "m/s")
        drop, at_flow = self._core
        wind = work(pipe_flow.flow_through, "Air through the core by the road", speed=self._wind, area=self.face)
        push = work(pipe_flow.drop_at, "Pressure of the wind", drop=drop, at_flow=at_flow, flow=wind)
        return self._blown(push)

    def _shed(self, speed: Node, when: str) -> Node:
        """Of all radiators, one behind the other along the coolant, each with its part of the air."""
        made: Node | None = None
        coolant = self.loop.stream(self.loop.running_flow)
        for _, alike in groupby(radiators_of(self.case), key=lambda each: each.id):
            part, *more = alike
            one = self._one(part, speed, coolant, when)
            if more:
                count = counted(1 + len(more), f"How many: {part.title}", "fitted")
                one = work(
                    exchanger.alike_in_a_row, f"{part.title}, in a row {when}", one=one, coolant=coolant, count=count
                )
            made = one if made is None else work(
                exchanger.one_behind_the_other, f"Radiators {when}", first=made, second=one, coolant=coolant
            )  # fmt: skip
        assert made is not None
        return made

    def _one(self, part: Radiator, speed: Node, coolant: Node, when: str) -> Node:
        """One radiator: its conductance from what the datasheet says, moved to this air and this flow, and its effectiveness there."""
        known, rated_flow = self._by_datasheet(part)
        power = assumed_between(
            "Power of the air's speed in its film", "1", "fins with louvres; " + NO_SOURCE, 0.4, 0.6
        )
        share = assumed_between(
            "Resistance of a radiator on the side of the air", "%", "the rest is the coolant's; " + NO_SOURCE, 0.6, 0.85
        )
        through = work(
            exchanger.conductance_elsewhere, f"Conductance of {part.title} {when}", rated=known, air_share=share,
            air_rated=_rated_air(), air=speed, air_power=power, flow_rated=rated_flow, flow=self.loop.running_flow,
            flow_power=assumed_between("Power of the coolant's flow in its film", "1", "flat tubes; " + NO_SOURCE, 0.3, 0.8),
        )  # fmt: skip
        lesser, ratio = self._streams(part, speed, coolant)
        units = work(exchanger.transfer_units, "Transfer units", conductance=through, least_stream=lesser)
        effect = work(
            exchanger.effectiveness_crossflow, f"Effectiveness of {part.title} {when}", units=units, ratio=ratio
        )
        return work(exchanger.shed_by, f"{part.title} {when}", effectiveness=effect, least_stream=lesser)

    def _streams(self, part: Radiator, speed: Node, coolant: Node) -> tuple[Node, Node]:
        """The lesser of both streams through a radiator, and it by the other."""
        flow = work(pipe_flow.flow_through, f"Air through {part.title}", speed=speed, area=self._face(part))
        heat = constant(air.SPECIFIC_HEAT, "J/(kg·K)", "Specific heat of air", "dry air between -30 and 40 °C")
        blown = work(heat_paths.stream_capacity, "Stream of air", density=self.density, specific_heat=heat, flow=flow)
        both = [blown, coolant]
        lesser = least("Lesser stream", both, "W/K")
        ratio = work(
            exchanger.stream_ratio,
            "Lesser stream by the greater",
            least=lesser,
            most=greatest("Greater stream", both, "W/K"),
        )
        return lesser, ratio

    def _by_datasheet(self, part: Radiator) -> tuple[Node, Node]:
        """Conductance through a radiator at 3 m/s of air, and the flow of coolant for which that is so."""
        table = part.conductance_over_flow
        if table is None:
            reason = "the datasheet has no table over the flow; " + NO_SOURCE
            low, high = 6 * LITRE_PER_MINUTE, 12 * LITRE_PER_MINUTE
            flow = work(
                exchanger.rated_flow, f"Flow for which {part.title} is rated", face=self._face(part),
                known=assumed_between("Flow for which a radiator of 0.1 m² of face is rated", "l/min", reason, low, high),
                known_face=constant(0.1, "m²", "Face of that radiator", "by definition of it"),
            )  # fmt: skip
            sheds = self.case.leaf(part.conductance, f"{part.title}, by its datasheet")
        else:
            flow = self.loop.running_flow
            curve = Curve(
                tuple(at * LITRE_PER_MINUTE for at in table.litre_per_minute),
                tuple(table.value),
                f"{part.title} over the flow",
            )
            node = leaf(curve, "W/K", str(curve), origin_of(part, "conductance_over_flow"))
            sheds = work(exchanger.radiator_at, f"{part.title} at 3 m/s of air", flow=flow, curve=node)
        lesser, ratio = self._streams(part, _rated_air(), self.loop.stream(flow))
        effect = work(
            exchanger.effectiveness_of,
            f"Effectiveness of {part.title} by its datasheet",
            conductance=sheds,
            least_stream=lesser,
        )
        units = work(exchanger.units_of, "Transfer units by the datasheet", effectiveness=effect, ratio=ratio)
        return work(
            exchanger.whole_conductance,
            f"Conductance of {part.title} by its datasheet",
            units=units,
            least_stream=lesser,
        ), flow


def _rated_air() -> Node:
    return constant(RATED_AIR, "m/s", "Air for which a radiator is rated", CONDITION, "v")
