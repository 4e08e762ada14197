"""The loop of coolant: what flows in it, which pressure it takes, what the pumps give, and what plates take from the modules."""

from __future__ import annotations

import functools
from dataclasses import dataclass

from voltwright.assess.case import Case, origin_of
from voltwright.assess.sheet import CONDITION, assumed, assumed_between, constant, counted
from voltwright.parts.power import Pump
from voltwright.physics import air, cell, coolant, forced_flow, free_convection, heat_paths, pipe_flow
from voltwright.quantity.table import Curve
from voltwright.quantity.work import Node, greatest, leaf, least, total, work

LITRE_PER_MINUTE = 1e-3 / 60
AT_FLOW = 10 * LITRE_PER_MINUTE  # m³/s: flow at which what the loop takes is reckoned where pump and loop agree
LAMINAR_TO, TURBULENT_FROM = 2300.0, 4000.0  # Reynolds numbers
GEOMETRY = "usual of cold plates; which plates is not entered"


def cooled_by_liquid(case: Case) -> bool:
    return drive_by_liquid(case) or case.build.pack.cooling == "liquid"


def drive_by_liquid(case: Case) -> bool:
    """Whether motor or inverter are cooled by liquid."""
    return any(part is not None and part.cooling == "liquid" for part in (case.motor, case.inverter))


@dataclass(frozen=True, eq=False)
class Loop:
    """The loop of one build; what it takes and what it carries at a flow."""

    case: Case

    @functools.cached_property
    def mix(self) -> dict[str, Node]:
        """Coolant of half glycol at 40 °C."""
        half = constant(0.5, "%", "Glycol by mass", "usual of cars: safe to -35 °C", "w")
        given = {"glycol": half, "temperature": constant(313.15, "°C", "Coolant", CONDITION, "T")}
        made = {
            "density": work(coolant.mix_density, "Density of the coolant", **given),
            "specific_heat": work(coolant.mix_specific_heat, "Specific heat of the coolant", **given),
            "conductivity": work(coolant.mix_conductivity, "Conductivity of the coolant", **given),
            "dynamic": work(coolant.mix_viscosity, "Viscosity of the coolant", **given),
        }
        made["viscosity"] = work(
            air.kinematic_viscosity, "Kinematic viscosity of the coolant", viscosity=made["dynamic"],
            density=made["density"],
        )  # fmt: skip
        made["prandtl"] = work(
            air.prandtl, "Prandtl number of the coolant", viscosity=made["dynamic"], specific_heat=made["specific_heat"],
            conductivity=made["conductivity"],
        )  # fmt: skip
        return made

    def stream(self, flow: Node) -> Node:
        """Heat that the coolant carries for each kelvin at a flow."""
        return work(
            heat_paths.stream_capacity, "Stream of coolant", density=self.mix["density"],
            specific_heat=self.mix["specific_heat"], flow=flow,
        )  # fmt: skip

    @functools.cached_property
    def pumps(self) -> Node | None:
        """Pressure of all pumps over the flow: several stand in a row and their pressures add. None where there is none."""
        made: Node | None = None
        for index, each in enumerate(self.case.build.fitted):
            part = self.case.shelf.any(each.part)
            if not isinstance(part, Pump):
                continue
            curve = Curve(
                tuple(at * LITRE_PER_MINUTE for at in part.pressure.litre_per_minute),
                tuple(value * 1000.0 for value in part.pressure.value),
                f"pressure of {part.title} over its flow",
            )
            one = leaf(curve, "kPa", str(curve), origin_of(part, "pressure"))
            if each.count > 1:
                count = counted(each.count, f"How many: {part.title}", f"fitted.{index}.count")
                one = work(pipe_flow.pumps_alike, f"{part.title}, in a row", one=one, count=count)
            made = one if made is None else work(pipe_flow.pumps_in_a_row, "Pumps in a row", first=made, second=one)
        return made

    @functools.cached_property
    def fitted_flow(self) -> Node | None:
        """Where pumps and loop agree; None without a pump."""
        if self.pumps is None:
            return None
        at = constant(AT_FLOW, "l/min", "Flow at which the loop is reckoned", CONDITION)
        return work(pipe_flow.flow_of_pump, "Flow", curve=self.pumps, drop=self.drop(at), at_flow=at)

    @functools.cached_property
    def running_flow(self) -> Node:
        """The flow at hand: that of the pumps, or what is usual where none is fitted."""
        reason = "no coolant pump is fitted: what a small one moves through such a loop"
        label = "Flow of coolant without a pump of the build"
        return self.fitted_flow or assumed_between(label, "l/min", reason, 6 * LITRE_PER_MINUTE, 14 * LITRE_PER_MINUTE)

    def drop(self, flow: Node) -> Node:
        """Pressure that hoses, devices and the plates of the pack take at a flow."""
        reason = "each of motor, inverter and radiator in a row takes 3 to 8 kPa at 10 l/min; read their datasheets"
        known = (self.case.motor, self.case.inverter)
        count = 1 + sum(each is not None and each.cooling == "liquid" for each in known)
        devices = work(
            pipe_flow.drop_at, "Pressure that devices take",
            drop=assumed_between("Pressure that devices take at 10 l/min", "kPa", reason, 3e3 * count, 8e3 * count),
            at_flow=constant(AT_FLOW, "l/min", "Flow at which devices are known", CONDITION), flow=flow,
        )  # fmt: skip
        terms = [self._hoses(flow), devices]
        if self.case.build.pack.cooling == "liquid":
            terms.append(self._plates_take(flow))
        return total("Pressure of the loop", terms, "kPa")

    def _hoses(self, flow: Node) -> Node:
        area = constant(3.14159265 / 4 * 0.016**2, "mm²", "Section of a 16 mm hose", "usual size")
        bore = constant(0.016, "mm", "Bore of the hose", "usual size", "D")
        return self._takes(
            "hose", flow, area, bore,
            assumed("Length of all hoses", "m", "from the nose to the drive and back", 6.0, 2.0),
            assumed("Bends and connectors", "1", "ten of them, about 1 each", 10.0, 4.0),
        )  # fmt: skip

    def _takes(self, what: str, flow: Node, area: Node, bore: Node, length: Node, fittings: Node) -> Node:
        speed, number = self._moves(what, flow, area, bore)
        share = work(pipe_flow.turbulent_share, f"Turbulent share in the {what}", reynolds=number)
        friction = work(pipe_flow.darcy_friction, f"Friction in the {what}", reynolds=number, turbulent=share)
        return work(
            pipe_flow.pressure_drop, f"Pressure that every {what} takes", friction=friction, diameter=bore,
            density=self.mix["density"], speed=speed, length=length, fittings=fittings,
        )  # fmt: skip

    def _moves(self, what: str, flow: Node, area: Node, bore: Node) -> tuple[Node, Node]:
        """Speed and Reynolds number."""
        speed = work(pipe_flow.speed_in, f"Speed in the {what}", flow=flow, area=area)
        number = work(
            forced_flow.reynolds, f"Reynolds number in the {what}", speed=speed, length=bore,
            viscosity=self.mix["viscosity"],
        )  # fmt: skip
        return speed, number

    @functools.cached_property
    def _channels(self) -> dict[str, Node]:
        """The channels below one module: sizes, section, edge, hydraulic diameter."""
        sizes = {
            "count": assumed("Channels side by side below a module", "1", GEOMETRY, 5.0, 2.0),
            "width": assumed("Width of a channel", "mm", GEOMETRY, 10e-3, 3e-3),
            "depth": assumed("Depth of a channel", "mm", GEOMETRY, 4e-3, 1e-3),
        }
        area = work(pipe_flow.channels_section, "Section of the channels", **sizes)
        edge = work(pipe_flow.channels_edge, "Edge of the channels", **sizes)
        bore = work(pipe_flow.hydraulic_diameter, "Hydraulic diameter of a channel", area=area, edge=edge)
        aspect = work(pipe_flow.aspect_of, "Short side by long side", depth=sizes["depth"], width=sizes["width"])
        return {"area": area, "edge": edge, "bore": bore, "aspect": aspect}

    def _branch(self, flow: Node) -> Node:
        """Flow through one box: boxes stand side by side in the loop, the modules of one in a row."""
        boxes = [each.modules for each in self.case.build.pack.boxes if each.modules]
        if len(boxes) < 2:
            return flow
        count = counted(len(boxes), "Boxes side by side along the coolant", "pack.boxes")
        return work(pipe_flow.flow_of_each, "Flow through one box", flow=flow, count=count)

    def _plates_take(self, flow: Node) -> Node:
        """Pressure of the plates of a box, one module after the other."""
        made, most = self._channels, max(each.modules for each in self.case.build.pack.boxes)
        count = counted(most, "Modules in a row along the coolant", "pack.boxes")
        length = work(pipe_flow.length_of_several, "Length of the plates", count=count, each=self._module("length"))
        turn = assumed_between("Inlet, outlet and turns of a plate", "1", "about 1 each, two to four", 2.0, 4.0)
        fittings = work(cell.product, "Inlets, outlets and turns of the plates", first=count, second=turn)
        return self._takes("plate", self._branch(flow), made["area"], made["bore"], length, fittings)

    def _module(self, side: str) -> Node:
        if side == "length":
            return self.case.leaf(self.case.module.length, "Length of a module")
        return self.case.leaf(self.case.module.width, "Width of a module")

    def plate(self, flow: Node) -> Node:
        """From the cells' surfaces of a module to the coolant at a flow, by the bottom of the module."""
        reason = "glue or pad between the cells and the plate: 1 to 2 mm at 1 to 2 W/(m·K)"
        usual = (500.0, 1500.0)
        if not self.case.module.coolant_channels:
            reason, usual = "housing of the module and a pad below it; the modules have no channels", (120.0, 500.0)
        pad = assumed_between("From the cells to their plate", "W/(m²·K)", reason, *usual)
        film = work(
            pipe_flow.film_of_plate, "Film of coolant below a module", film=self._film(flow), edge=self._channels["edge"],
            width=self._module("width"),
        )  # fmt: skip
        return work(heat_paths.layers_in_a_row, "Plate of the modules", first=pad, second=film)

    def _film(self, flow: Node) -> Node:
        """Film coefficient in the channels: laminar with its entry, turbulent, or between."""
        made, prandtl = self._channels, self.mix["prandtl"]
        _, number = self._moves("channels", self._branch(flow), made["area"], made["bore"])
        slow = least("Reynolds number while laminar", [number, _number(LAMINAR_TO, "where turbulence begins")])
        entry = work(
            pipe_flow.graetz, "Graetz number of a module's length", reynolds=slow, prandtl=prandtl, diameter=made["bore"],
            length=self._module("length"),
        )  # fmt: skip
        developed = work(pipe_flow.nusselt_laminar_channel, "Developed laminar Nusselt number", aspect=made["aspect"])
        laminar = work(pipe_flow.nusselt_entry, "Laminar Nusselt number", developed=developed, graetz=entry)
        fast = greatest("Reynolds number while turbulent", [number, _number(TURBULENT_FROM, "where all is turbulent")])
        friction = work(
            pipe_flow.darcy_friction, "Friction while turbulent", reynolds=fast, turbulent=_number(1.0, "all is turbulent")
        )  # fmt: skip
        beyond = work(
            pipe_flow.nusselt_turbulent, "Turbulent Nusselt number", reynolds=fast, prandtl=prandtl, friction=friction
        )
        share = work(pipe_flow.turbulent_share, "Turbulent share in the channels", reynolds=number)
        nusselt = work(
            pipe_flow.nusselt_between, "Nusselt number of the channels", laminar=laminar, beyond=beyond, turbulent=share
        )
        return work(
            free_convection.film_coefficient, "Film coefficient in the channels", nusselt=nusselt,
            conductivity=self.mix["conductivity"], length=made["bore"],
        )  # fmt: skip


def _number(value: float, reason: str) -> Node:
    return constant(value, "1", "Limit" if value > 1.0 else "Turbulent share", reason)
