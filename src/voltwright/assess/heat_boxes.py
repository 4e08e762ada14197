"""The battery boxes as heat sees them: what modules are made of, what is around them, and what cools them."""

from __future__ import annotations

from voltwright.assess.case import Case, origin_of
from voltwright.assess.heat_loop import drive_by_liquid
from voltwright.assess.heat_radiator import Radiators, box_fans, radiators_of
from voltwright.assess.pack import arrangement
from voltwright.assess.sheet import CONDITION, Sheet, assumed, assumed_between, constant, counted
from voltwright.build.fitted import Box
from voltwright.kernels import blown, warmth
from voltwright.physics import air, battery_box, box_frame, cell_dynamics, heat_paths, mass
from voltwright.physics import cell as cell_law
from voltwright.quantity.work import Node, leaf, total, work

COOLINGS = ("none", "air", "liquid")
LEAST_CASE = 0.05  # of a module: less than that no housing weighs

# Density [kg/m³], specific heat [J/(kg·K)], conductivity [W/(m·K)], usual thickness [m] of the wall of a box.
WALLS = {
    "steel": (7850.0, 490.0, 50.0, 0.0015),
    "aluminium": (2700.0, 900.0, 160.0, 0.002),
    "plastic": (1100.0, 1600.0, 0.25, 0.004),
}
FOAM = 0.035  # W/(m·K)
# Around the box: air past the wall as a share of the road speed, and how much warmer than outdoors [K]; from, to.
AROUND = {
    "engine-bay": ((0.05, 0.20), (3.0, 15.0), "under a bonnet with motor and inverter"),
    "boot": ((0.0, 0.05), (1.0, 6.0), "in a closed boot"),
    "under-floor": ((0.3, 0.7), (0.0, 4.0), "in the stream under the floor, above a warm road"),
    "cabin": ((0.0, 0.03), (0.0, 6.0), "in the cabin"),
}
UNKNOWN = ((0.02, 0.20), (1.0, 9.0), "where in the car the box sits is not entered (pack.boxes: surroundings)")


def heated_boxes(case: Case) -> tuple[Box, ...]:
    """The boxes that hold modules."""
    return tuple(each for each in case.build.pack.boxes if each.modules)


class Boxes:
    """All boxes of the pack with each way of cooling, each put together once."""

    def __init__(self, case: Case, sheet: Sheet) -> None:
        self._case, self._shared, self.radiators = case, _shared(case, sheet), Radiators(case, sheet)
        self._each = [
            {
                "count": counted(each.modules, f"Modules in box {each.name}", f"pack.boxes.{index}.modules"),
                "shell": _shell(case, each, index),
            }
            for index, each in enumerate(case.build.pack.boxes)
            if each.modules
        ]
        self._names = [each.name for each in heated_boxes(case)]
        self._made: dict[str, Node] = {}

    def cooled(self, cooling: str) -> Node:
        """The pack with that cooling."""
        if cooling not in self._made:
            self._made[cooling] = self._put_together(_cooling(self._case, cooling, self.radiators))
        return self._made[cooling]

    @property
    def inside(self) -> Node:
        """From the cores of a module's cells to their surfaces."""
        return self._shared["stuff"].inputs["inside"]

    def frames(self) -> Node:
        """The pack but for what cools it."""
        made: Node | None = None
        for name, own in zip(self._names, self._each, strict=True):
            frame = work(box_frame.frame_of, f"Box {name}, whatever cools it", **self._shared, **own)
            known = {"frame": frame} if made is None else {"frames": made, "frame": frame}
            made = work(blown.one_frame_more if made else blown.first_frame, "Boxes, whatever cools them", **known)
        assert made is not None
        return made

    def _put_together(self, cooling: Node) -> Node:
        made: Node | None = None
        for name, own in zip(self._names, self._each, strict=True):
            given = {**self._shared, **own, "cooling": cooling}
            box = work(battery_box.box_of, f"Box {name} as a network of heat", **given)
            known = {"box": box} if made is None else {"boxes": made, "box": box}
            made = work(warmth.one_box_more if made else warmth.first_box, "Boxes", **known)
        assert made is not None
        return made


def boxes_of(case: Case, sheet: Sheet) -> Boxes:
    """The boxes of the pack, put together once for all questions; the loop of coolant goes through them as they are cooled."""
    assert sheet.simulated is not None
    kept, key = sheet.simulated.kept, ("boxes", case.build.pack.cooling)
    if key not in kept:
        kept[key] = Boxes(case, sheet)
    return kept[key]


def _shared(case: Case, sheet: Sheet) -> dict[str, Node]:
    """What all boxes share."""
    assert sheet.simulated is not None
    car, module = sheet.simulated.car, case.module
    film = constant(battery_box.FILM, "°C", "Air in the films", CONDITION)
    thin = work(air.air_density, "Density of that air", **{**car.inputs["density"].inputs, "temperature": film})
    reason = "usual of cells in a module: tape, foam and plastic between them and the housing; no source"
    return {
        "module_length": case.leaf(module.length, "Length of a module"),
        "module_width": case.leaf(module.width, "Width of a module"),
        "module_height": case.leaf(module.height, "Height of a module"),
        "stuff": _stuff(case),
        "packed": assumed_between("Between cells and housing of a module", "W/(m²·K)", reason, 20.0, 100.0),
        "gap": assumed_between(
            "Between neighbouring modules", "W/(m²·K)", "air and radiation across 2 to 6 mm", 8.0, 20.0
        ),
        "floor": assumed_between(
            "Between a module and the floor of its box", "W/(m²·K)", "feet or a pad, and air between", 8.0, 60.0
        ),
        "film": film,
        "density": thin,
        "gravity": car.inputs["gravity"],
    }


def _stuff(case: Case) -> Node:
    module, cell = case.module, case.cell
    groups = counted(module.groups_series, "Cell groups in series in a module", f"{module.id}: groups_series")
    parallel = counted(module.cells_parallel, "Cells in parallel in a module", f"{module.id}: cells_parallel")
    count = work(cell_law.product, "Cells in a module", first=groups, second=parallel)
    cells = work(
        mass.mass_of_several, "Cells of a module", count=count, mass_each=case.leaf(cell.mass, "Mass of a cell")
    )
    rest = work(
        heat_paths.case_mass,
        "Housing of a module",
        module=case.leaf(module.mass, f"One module, {module.title}"),
        cells=cells,
        least=constant(LEAST_CASE, "%", "Least share of a housing", "no housing weighs less"),
    )
    specific = assumed("Specific heat of housing and bars", "J/(kg·K)", "between aluminium and plastic", 900.0, 200.0)
    return work(
        battery_box.stuff_of,
        "A module as heat sees it",
        cells=count,
        cell_heat=work(
            cell_dynamics.heat_capacity_of, "Heat capacity of its cells", mass=cells,
            specific=case.leaf(cell.heat_capacity, "Specific heat of a cell"),
        ),
        case_heat=work(cell_dynamics.heat_capacity_of, "Heat capacity of its housing", mass=rest, specific=specific),
        inside=_inside(case, count),
    )  # fmt: skip


def _inside(case: Case, count: Node) -> Node:
    """From the cores of the cells of a module to their surfaces."""
    cell, label = case.cell, "From the cores of its cells to their surfaces"
    long = cell.length or cell.height
    if cell.shape == "cylindrical" and long is not None:
        reason = "across the foils of a wound cell: 0.2 to 1.0 W/(m·K), from memory"
        return work(
            battery_box.core_of_cylinders, label, height=case.leaf(long, "Length of a cell"), count=count,
            conductivity=assumed_between("Conductivity of a cell across its foils", "W/(m·K)", reason, 0.2, 1.0),
        )  # fmt: skip
    if cell.length is not None and cell.width is not None and cell.height is not None:
        reason = "along the foils: ten to thirty times that across them; round cells 12 to 17 W/(m·K) along their axis"
        section = work(
            battery_box.section_of, "Section of a cell", length=case.leaf(cell.length, "Length of a cell"),
            width=case.leaf(cell.width, "Width of a cell"),
        )  # fmt: skip
        return work(
            battery_box.core_of_flat_cells, label, section=section, height=case.leaf(cell.height, "Height of a cell"),
            count=count, conductivity=assumed_between("Conductivity of a cell along its foils", "W/(m·K)", reason, 10.0, 30.0),
        )  # fmt: skip
    reason = "the datasheet of the cell names no size; from 0.3 for a small round cell to 3 for a large flat one"
    each = assumed_between("From the core of a cell to its surface", "W/K", reason, 0.3, 3.0)
    return work(battery_box.several_paths, label, each=each, count=count)


def _shell(case: Case, box: Box, index: int) -> Node:
    """The shell of a box: its size, its wall, and what is around it."""
    where, name = f"pack.boxes.{index}", box.name
    length, width, height = (
        case.leaf(each, f"{side} of box {name}")
        for each, side in ((box.length, "Length"), (box.width, "Width"), (box.height, "Height"))
    )
    area = work(heat_paths.faces_of, f"Faces of box {name}", length=length, width=width, height=height)
    density, specific, conducts, usual = WALLS[box.wall or "steel"]
    told = f"{box.wall} (entered)" if box.wall else f"steel, as is usual; enter {where}.wall"
    if box.wall_thickness is not None:
        thick = case.leaf(box.wall_thickness, f"Wall of box {name}")
    else:
        reason = f"usual for a box of {box.wall or 'steel'}; enter {where}.wall_thickness"
        thick = assumed(f"Wall of box {name}", "mm", reason, usual, usual / 3)
    heat = work(
        heat_paths.heat_of_wall, f"Heat capacity of the wall of box {name}", area=area, thickness=thick,
        density=constant(density, "kg/m³", "Density of the wall", told),
        specific=constant(specific, "J/(kg·K)", "Specific heat of the wall", told),
    )  # fmt: skip
    through = work(
        heat_paths.slab_conductance, f"Through the wall of box {name}", area=area, thickness=thick,
        conductivity=constant(conducts, "W/(m·K)", "Conductivity of the wall", told),
    )  # fmt: skip
    if box.insulation is not None:
        foam = constant(FOAM, "W/(m·K)", "Conductivity of foam", "usual of closed-cell foam: 0.03 to 0.04")
        layer = case.leaf(box.insulation, f"Foam on box {name}")
        felt = work(
            heat_paths.slab_conductance,
            f"Through the foam of box {name}",
            area=area,
            thickness=layer,
            conductivity=foam,
        )
        through = work(heat_paths.one_after_the_other, f"Wall and foam of box {name}", first=through, second=felt)
    share, warmer, words = AROUND[box.surroundings] if box.surroundings else UNKNOWN
    return work(
        battery_box.shell_of,
        f"Shell of box {name}",
        length=length,
        width=width,
        height=height,
        heat=heat,
        insulation=through,
        air_share=assumed_between(f"Air past box {name} by road speed", "%", words, *share),
        emissivity=assumed_between(
            "Emissivity of paint and plastic", "%", "0.85 to 0.95 in every handbook", 0.85, 0.95
        ),
        mounts=assumed_between(f"Through the mounts of box {name}", "W/K", "four steel brackets", 0.2, 1.0),
        warmer=assumed_between(f"Warmer around box {name} than outdoors", "K", words, *warmer),
    )


def _cooling(case: Case, cooling: str, radiators: Radiators) -> Node:
    """What carries heat out of each module."""
    no_radiator = constant(0.0, "W/K", "Radiator, by module", "none is asked for")
    made = {
        "stream": constant(0.0, "l/min", "Air through the boxes, by module", "none is asked for"),
        "plate": constant(0.0, "W/(m²·K)", "Cold plate", "none is asked for"),
        "standing": no_radiator,
        "moving": no_radiator,
        "speed": constant(1.0, "m/s", "Road speed", "no radiator is asked for"),
    }
    if cooling == "air":
        made["stream"] = air_past_modules(case)
    elif cooling == "liquid":
        made["plate"] = radiators.loop.plate(radiators.loop.running_flow)
        made["standing"], made["moving"] = _radiator(case, radiators)
        made["speed"] = radiators.speed
    return work(battery_box.cooling_of, "Cooling of each module", **made)


def modules_of(case: Case) -> Node:
    return constant(float(case.build.pack.module_count), "1", "Modules in all", "series × parallel", "n")


def air_past_modules(case: Case) -> Node:
    """Air through the boxes, by module."""
    label = "Air through the boxes, by module"
    fans = box_fans(case)
    if not fans:
        reason = "no fan of a box is fitted: what usual ones blow, 80 mm across for four to eight modules"
        return assumed_between(label, "m³/h", reason, 3 / 3600, 9 / 3600)
    share = assumed_between("Flow of a fan in a box, by its free flow", "%", "half of it is lost in ducts", 0.3, 0.7)
    flows = [
        work(
            battery_box.flow_by_module, f"Fan {part.title}", free=case.leaf(part.flow_free, f"Free flow of {part.title}"),
            count=counted(case.build.fitted[index].count, "Fans of this kind", f"fitted.{index}.count"), share=share,
            modules=modules_of(case),
        )
        for index, part in fans
    ]  # fmt: skip
    return total(label, flows, "m³/h")


def _radiator(case: Case, radiators: Radiators) -> tuple[Node, Node]:
    """What the radiators shed while the car stands and on the hill, by module; motor and inverter have their part of it."""
    if not radiators_of(case):
        reason = "no radiator is fitted: 5 W/K for each module, as of a small one for twenty modules"
        usual = assumed_between("Radiator, by module", "W/K", reason, 3.0, 7.0)
        return usual, usual
    left = constant(1.0, "%", "Share of the radiator that is left for the pack", "nothing else is cooled by liquid")
    if drive_by_liquid(case):
        reason = "motor and inverter use it too"
        left = assumed_between("Share of the radiator that is left for the pack", "%", reason, 0.3, 0.7)
    standing, climbing = (
        work(battery_box.radiator_by_module, f"Radiator, by module, {when}", conductance=sheds, share=left, modules=modules_of(case))
        for when, sheds in (("while the car stands", radiators.standing), ("on the hill", radiators.climbing))
    )  # fmt: skip
    return standing, climbing


def cell_tables(case: Case) -> Node:
    """The resistances of a cell as heat sees them: over minutes as over ten seconds where the datasheet has no more."""
    table = case.cell.resistance_minutes
    minutes = case.resistance_10s
    if table is not None:
        grid = table.grid("resistance of a cell over charge and temperature, minutes")
        minutes = leaf(grid, "mΩ", str(grid), origin_of(case.cell, "resistance_minutes"))
    return work(
        warmth.heat_tables, "Resistances of a cell as heat sees them", ten_seconds=case.resistance_10s, minutes=minutes
    )


def of_each_cell(case: Case, sheet: Sheet) -> dict[str, Node]:
    """Tables and growth of the resistance, and the links of a module for each of its cells; put together once for all questions."""
    assert sheet.simulated is not None
    kept = sheet.simulated.kept
    if "cells" not in kept:
        kept["cells"] = _of_each_cell(case)
    return kept["cells"]


def _of_each_cell(case: Case) -> dict[str, Node]:
    made, module = arrangement(case), case.module
    groups = counted(module.groups_series, "Cell groups in series in a module", f"{module.id}: groups_series")
    parallel = counted(module.cells_parallel, "Cells in parallel in a module", f"{module.id}: cells_parallel")
    links = work(
        heat_paths.links_of_cell, "Links for each cell", links=made.links, cells_parallel=parallel, groups=groups
    )
    return {"tables": cell_tables(case), "growth": made.growth, "links": links}
