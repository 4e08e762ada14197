"""The network of heat: a driven cell against pybamm's circuit with lumped heat, and boxes against closed forms and a textbook."""

from __future__ import annotations

from math import exp
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from kernel_cars import CHARGE, COUPE, KELVIN, TEN_SECONDS, VOLT, cells, known, many
from voltwright.kernels import blown, heat, warmth
from voltwright.kernels.car import CHARGE_STEPS
from voltwright.kernels.journey import course_of
from voltwright.physics import battery_box, box_frame, charging
from voltwright.quantity.table import Curve, Grid

PEAK = ("heat.cell_peak.DUTY", "heat.headroom", "heat.verdict")
FINE = np.linspace(0.0, 1.0, CHARGE_STEPS + 1)
MORE = TEN_SECONDS * 0.5  # what minutes add to ten seconds
MASS, JIG, TO_JIG, TO_AIR = 60.0, 150.0, 0.25, 0.12  # J/K, W/K: small, so that the cell becomes warm
AIR = 303.15


def grid(z: Any) -> Grid:
    return Grid(tuple(CHARGE), tuple(KELVIN), tuple(tuple(float(each) for each in row) for row in z), "table")


TABLES = warmth.heat_tables(ten_seconds=grid(TEN_SECONDS), minutes=grid(TEN_SECONDS + MORE))


def two_bodies(stream: warmth.Stream) -> Any:
    """A cell that touches a jig, which touches the air: the same network loop, with two bodies."""
    lanes, count = 1, len(stream.square)
    state = np.full((2, lanes), AIR)
    fixed = np.array([[TO_JIG], [TO_AIR]])
    capacity, made = np.array([[MASS], [JIG]]), np.array([[1.0], [0.0]])
    none = np.zeros((1, battery_box.POINTS, lanes))
    source, target, table = np.array([0, 1]), np.array([1, 2]), np.array([-1, -1])
    hot, cold, made_then, book = (np.zeros((rows, lanes)) for rows in (count, count, count, 2))
    parts = heat.parts_of_step(source, target, fixed, table, none, none, capacity, stream.step)
    rows = [each[:, None] for each in (stream.square, stream.slow, stream.charge, stream.speed)]
    heat.soak(
        source, target, fixed, table, none, none, capacity, made, np.ones(1), np.zeros(1), np.zeros((2, 1)), TABLES.ohm,
        np.zeros(1, dtype=np.int64), *rows, stream.step, parts, np.array([[AIR]]), state, hot, cold, made_then, book,
    )  # fmt: skip
    stored = float(np.sum(capacity * (state - AIR)))
    assert book[heat.GENERATED, 0] == pytest.approx(book[heat.SHED, 0] + stored, rel=1e-9)
    return hot[:, 0]


def by_pybamm(current: Any) -> tuple[Any, str]:
    """The cell's temperature each second by pybamm: the same tables, a resistance and one RC element, cell, jig and air."""
    import pybamm  # pyright: ignore[reportMissingTypeStubs]

    lib: Any = pybamm
    model = lib.equivalent_circuit.Thevenin(options={"number of rc elements": 1})
    values = model.default_parameter_values
    rest = np.interp(FINE, CHARGE, VOLT)

    def table(z: Any) -> Any:
        return lambda kelvin, amperes, soc: lib.Interpolant((CHARGE, KELVIN), z, [soc, kelvin + 273.15], name="table")

    edges = np.arange(1, len(current))
    time = np.sort(np.concatenate([[0.0], edges - 0.005, edges + 0.005, [float(len(current))]]))
    amperes = np.repeat(current, 2)
    values.update(
        {
            "Open-circuit voltage [V]": lambda soc: lib.Interpolant(FINE, rest, soc, name="rest"),
            "R0 [Ohm]": table(TEN_SECONDS), "R1 [Ohm]": table(MORE),
            "C1 [F]": lambda kelvin, amperes, soc: warmth.SLOW / table(MORE)(kelvin, amperes, soc),
            "Cell capacity [A.h]": COUPE.capacity / 3600.0,
            "Nominal cell capacity [A.h]": COUPE.capacity / 3600.0,
            "Initial SoC": COUPE.charge, "Initial temperature [K]": AIR, "Ambient temperature [K]": AIR,
            "Upper voltage cut-off [V]": 4.6, "Lower voltage cut-off [V]": 1.5,
            "Cell thermal mass [J/K]": MASS, "Jig thermal mass [J/K]": JIG,
            "Cell-jig heat transfer coefficient [W/K]": TO_JIG, "Jig-air heat transfer coefficient [W/K]": TO_AIR,
            "Entropic change [V/K]": lambda volt, kelvin: 0.0 * volt,
            "Current function [A]": lambda t: lib.Interpolant(time, amperes, t, name="current", interpolator="linear"),
        },
        check_already_exists=False,
    )  # fmt: skip
    at = np.arange(1.0, len(current))
    solved = lib.Simulation(model, parameter_values=values).solve(t_eval=[0.0, time[-1]], t_interp=at)
    return solved["Cell temperature [K]"](at), f"pybamm {lib.__version__}"


@pytest.mark.parametrize("name", ["us06", "wltc-3b"])
def test_a_driven_cell(published, name: str) -> None:
    """Tables, current, cell, jig and air are the same; ours sees the current averaged over twenty seconds."""
    asked = known(name)
    course = course_of(COUPE, cells(), asked)
    stream = warmth.stream_of_drive(car=COUPE, cells=cells(), asked=asked, share=0.6)
    kelvin, library = by_pybamm(0.6 * course.current)
    ours = two_bodies(stream)
    ends = np.arange(1, len(ours)) * round(stream.step) - 1
    apart = ours[: len(ends)] - kelvin[ends]
    rise = float(np.max(kelvin) - AIR)
    assert rise > 5.0, "a cell that becomes warm, or the comparison would say nothing"
    source = f"{library}, equivalent_circuit.Thevenin with cell, jig and air, the same tables and current"
    published.check(
        source=source, law="warmed", asked=f"{name}: temperature of the cell, rms of the difference [K] (it rises {rise:.0f} K)",
        expected=0.0, got=float(np.sqrt(np.mean(apart**2))), absolute=0.2, why="bins of 20 s", keys=PEAK,
    )  # fmt: skip
    published.check(
        source=source, law="stream_of_drive", asked=f"{name}: the hottest that it becomes [K]", expected=float(np.max(kelvin)),
        got=float(np.max(ours)), absolute=0.2, why="bins of 20 s", keys=PEAK,
    )  # fmt: skip


def shell_of(**changes: float) -> battery_box.Shell:
    """The walls of a usual box, but for `changes`."""
    usual = {
        "length": 0.45, "width": 0.66, "height": 0.28, "heat": 6750.0, "insulation": 1e6, "air_share": 0.1,
        "emissivity": 0.9, "mounts": 0.5, "warmer": 0.0,
    }  # fmt: skip
    return battery_box.shell_of(**usual | changes)


def box(**changes: Any) -> battery_box.Box:
    """Eight modules in a box; `changes` to what cools it and what it is made of."""
    stuff = battery_box.stuff_of(cells=12.0, cell_heat=10600.0, case_heat=2700.0, inside=20.0)
    still = {"stream": 0.0, "plate": 0.0, "standing": 0.0, "moving": 0.0, "speed": 20.0}
    cooling = battery_box.cooling_of(**{name: changes.pop(name, value) for name, value in still.items()})
    given = {
        "count": 8.0, "module_length": 0.39, "module_width": 0.152, "module_height": 0.11, "stuff": stuff, "shell": shell_of(),
        "cooling": cooling, "packed": 50.0, "gap": 12.0, "floor": 20.0, "film": 313.15, "density": 1.13, "gravity": 9.81,
    } | changes  # fmt: skip
    return battery_box.box_of(**given)


def pack(*boxes: battery_box.Box) -> warmth.Boxes:
    found = warmth.first_box(box=boxes[0])
    for each in boxes[1:]:
        found = warmth.one_box_more(boxes=found, box=each)
    return found


ASKED: dict[str, Any] = {"tables": TABLES, "growth": 1.0, "links": 2e-5, "start": AIR, "outside": AIR}


def test_a_wall_gives_off_what_the_textbook_says(published) -> None:
    """Çengel's closed box of 50 × 50 × 15 cm at 32 °C in air of 25 °C: 34.3 W over 0.55 m², the base left out."""
    shell = shell_of(
        length=0.5, width=0.5, height=0.15, heat=1.0, insulation=1e9, air_share=0.0, emissivity=0.85, mounts=0.0
    )
    made = box(shell=shell, film=301.65, density=1.17)
    place = 7.0 / battery_box.DIFFERENCE_STEP
    lets = float(np.interp(place, battery_box.STEPS, made.out_still)) / 0.8  # all faces
    published.check(
        source="Çengel ch. 9, worked solution, read in a copy: closed box in still air", law="box_of",
        asked="top, sides and radiation together [W/(m²·K)]", expected=(6.55 + 7.41 + 20.34) / 0.55 / 7.0, got=lets, rel=0.06,
        why="ours takes every face as a vertical one, and reads a table every 4 K", keys=PEAK,
    )  # fmt: skip


def test_steady_state_of_a_box(published) -> None:
    """After days the air outside gets as much as the cells make; the wall of it alone is one conductance in a row with others."""
    square, charge, speed = (np.full(2000, each) for each in (900.0, 0.5, 0.0))
    stream = warmth.Stream(square, square, charge, speed, 300.0)
    found = warmth.warmed(stream=stream, boxes=pack(box()), factor=1.0, **ASKED)
    assert float(found.made[0, 0]) == pytest.approx(float(found.shed[0, 0] + found.stored[0, 0]), rel=1e-9)
    # The same network by a stiff solver of scipy, from the fields of the box.
    made, cell = box(), battery_box.Box._fields
    ways = [(warmth.SOURCE[i], warmth.TARGET[i], way) for i, way in enumerate(warmth.WAYS)]

    def change(_: float, state: Any) -> Any:
        net: Any = np.zeros(len(warmth.BODIES))
        whole = np.append(state, [AIR, AIR])
        for one, other, (_here, _there, fixed, table) in ways:
            lets = getattr(made, fixed) if fixed else 0.0
            if table:
                values = getattr(made, "out_still" if table == "out" else table)
                away = abs(whole[one] - whole[other]) / battery_box.DIFFERENCE_STEP
                swept = made.out_moving[0] if table == "out" else 0.0
                lets += max(float(np.interp(away, battery_box.STEPS, values)), swept)
            flow = lets * (whole[one] - whole[other])
            net[one] -= flow
            if other < len(state):
                net[other] += flow
        for name in ("middle", "edge"):
            at = warmth.BODIES.index(f"core_{name}")
            ohm = np.interp(state[at], KELVIN, (TEN_SECONDS + MORE)[10]) + 2e-5
            net[at] += getattr(made, f"cells_{name}") * ohm * 900.0
        capacity = [max(getattr(made, each), 10.0) if each in cell else 10.0 for each in warmth.BODIES]
        return net / np.array(capacity)

    solved = solve_ivp(change, (0.0, 6e5), np.full(len(warmth.BODIES), AIR), method="BDF", rtol=1e-5, atol=1e-4)
    got = warmth.peak_of(warmth=found)
    published.check(
        source="scipy solve_ivp (BDF) on the same network, air as a small body", law="warmed",
        asked=f"after days, at 30 A a cell ({got - AIR:.1f} K warmer) [K]", expected=float(np.max(solved.y[:, -1])), got=got,
        absolute=0.05, why="the same conductances", keys=PEAK,
    )  # fmt: skip


def test_cells_that_shed_nothing(published) -> None:
    """No heat leaves in a moment: the rise is heat over heat capacity. And a body alone cools as the exponential says."""
    alone = box(packed=1e-9, shell=battery_box.shell_of(
        length=0.45, width=0.66, height=0.28, heat=6750.0, insulation=1e-6, air_share=0.0, emissivity=0.9, mounts=0.0, warmer=0.0,
    ))  # fmt: skip
    stream = warmth.steady_stream(current=40.0, charge=0.5, speed=0.0, time=3600.0)
    flat = warmth.heat_tables(ten_seconds=grid(TEN_SECONDS * 0 + 1e-3), minutes=grid(TEN_SECONDS * 0 + 1.5e-3))
    given = ASKED | {"tables": flat, "links": 0.0}
    found = warmth.warmed(stream=stream, boxes=pack(alone), factor=1.0, **given)
    # Core and surface share the heat; the core is ahead by half of the heat over the way between them.
    heat_of_module = 12.0 * 1600.0 * 1.5e-3
    rise = heat_of_module * 3600.0 / 10600.0
    ahead = heat_of_module / 4.0 / 20.0 * (1.0 - exp(-3600.0 / (10600.0 / 4.0 / 20.0)))
    published.check(
        source="heat balance, closed form", law="warmed", asked="40 A for an hour, nothing shed: rise of the core [K]",
        expected=rise + ahead, got=warmth.peak_of(warmth=found) - AIR, rel=2e-3, why="steps of 30 s", keys=PEAK,
    )  # fmt: skip
    for asked, expected, got in (
        ("square [A²]", 1600.0, stream.square[5]),
        ("cells of the stuff of a module", 12.0, alone.cells_middle / alone.core_middle * 5300.0),
    ):
        published.check(
            source="definition",
            law="steady_stream",
            asked=asked,
            expected=expected,
            got=float(got),
            rel=1e-12,
            why="exact",
        )
    published.check(
        source="heat balance, closed form", law="steady_heat_of", asked="eight modules [W]", expected=8.0 * heat_of_module,
        got=warmth.steady_heat_of(warmth=found), rel=1e-6, why="exact", keys=("heat.coolant_flow", "heat.radiator"),
    )  # fmt: skip
    limit = AIR + 2.0 * (rise + ahead)
    factor = warmth.factor_at_limit(stream=stream, boxes=pack(alone), limit=limit, **given)
    published.check(
        source="heat balance, closed form: twice the rise for twice the heat", law="factor_at_limit", asked="nothing shed",
        expected=2.0, got=factor, rel=3e-3, why="steps of 30 s", keys=("heat.headroom", "heat.flip_power"),
    )  # fmt: skip
    apart = warmth.spread_of(warmth=warmth.warmed(stream=stream, boxes=pack(alone, box()), factor=1.0, **given))
    published.check(
        source="definition: hottest less coldest core", law="spread_of", asked="a box that sheds nothing and one that does [K]",
        expected=rise + ahead - float(np.min(warmth.warmed(stream=stream, boxes=pack(box()), factor=1.0, **given).cold[-1]) - AIR),
        got=apart, rel=3e-3, why="the same runs", keys=("heat.spread",),
    )  # fmt: skip


def test_a_charge_after_a_drive(published) -> None:
    """Constant current: the charge rises in a straight line and ends when it is reached."""
    drive = warmth.steady_stream(current=10.0, charge=0.3, speed=20.0, time=600.0)
    limits = charging.charge_limits(current=100.0, power=1e9, voltage=1e3)
    source = charging.pack_source(
        cells_series=1.0, cells_parallel=2.0, growth=1.0, links=0.0, temperature=298.15,
        table=Curve(tuple(CHARGE), tuple(VOLT)), resistances=grid(TEN_SECONDS),
    )  # fmt: skip
    capacity = 100.0 * 3600.0
    found = warmth.then_charged(
        drive=drive, target=0.8, capacity=capacity, limits=limits, pack=source, share=0.5, longest=3600.0
    )
    flows = np.count_nonzero(found.square[found.from_step :] > 0.0) * found.step
    for asked, expected, got, rel in (
        ("time from 30 to 80 % at 1C [s]", 1800.0, flows, 0.02),
        ("current of a cell, squared [A²]", 2500.0, found.square[found.from_step + 5], 1e-9),
        (
            "charge after 15 minutes",
            0.55,
            float(np.interp(900.0, (np.arange(120) + 0.5) * 30.0, found.charge[20:])),
            5e-3,
        ),
    ):
        published.check(
            source="constant current, closed form", law="then_charged", asked=asked, expected=expected, got=float(got), rel=rel,
            why="steps of 30 s", keys=PEAK,
        )  # fmt: skip


def test_many_cars_are_as_one() -> None:
    """Side by side or alone: current and warmth agree."""
    masses: Any = np.linspace(1200.0, 1500.0, 40)
    crowd = many(COUPE, mass=masses)
    both = warmth.stream_of_drive(car=crowd, cells=cells(), asked=known("us06"), share=0.5)
    alone = warmth.stream_of_drive(
        car=COUPE._replace(mass=float(masses[7])), cells=cells(), asked=known("us06"), share=0.5
    )
    for name in ("square", "slow", "charge", "speed"):
        assert getattr(both, name)[:, 7] == pytest.approx(getattr(alone, name), rel=1e-9, abs=1e-9)
    all_warm = warmth.warmed(stream=both, boxes=pack(box(), box(stream=0.005)), factor=1.0, **ASKED)
    one_warm = warmth.warmed(stream=alone, boxes=pack(box(), box(stream=0.005)), factor=1.0, **ASKED)
    peaks: Any = warmth.peak_of(warmth=all_warm)
    assert peaks[7] == pytest.approx(warmth.peak_of(warmth=one_warm), abs=1e-9)
    assert np.max(np.abs(all_warm.made - all_warm.shed - all_warm.stored) / all_warm.made) < 1e-9


@pytest.mark.parametrize(
    "cooled", [{"stream": 0.004}, {"plate": 150.0, "standing": 20.0, "moving": 25.0}], ids=["air", "liquid"]
)
def test_cooling_cools(cooled: dict[str, float]) -> None:
    stream = warmth.steady_stream(current=30.0, charge=0.5, speed=0.0, time=36000.0)
    bare = warmth.peak_of(warmth=warmth.warmed(stream=stream, boxes=pack(box()), factor=1.0, **ASKED))
    better = warmth.warmed(stream=stream, boxes=pack(box(**cooled)), factor=1.0, **ASKED)
    assert warmth.peak_of(warmth=better) < bare - 1.0
    assert np.max(np.abs(better.made - better.shed - better.stored) / better.made) < 1e-9


def test_a_loop_of_coolant_in_steady_state(published) -> None:
    """All heat through plate and radiator, nothing else lets any through: two differences in a row, at any road speed."""
    shut = shell_of(insulation=1e-9, mounts=0.0)
    given: dict[str, Any] = {
        "packed": 1e-9,
        "shell": shut,
        "plate": 300.0,
        "standing": 2.0,
        "moving": 12.0,
        "speed": 18.0,
    }
    bottom = 0.39 * 0.152
    for speed, radiator in ((0.0, 2.0), (9.0, 7.0), (18.0, 12.0), (33.0, 12.0)):
        square = np.full(4000, 400.0)
        stream = warmth.Stream(square, square, np.full(4000, 0.5), np.full(4000, speed), 300.0)
        found = warmth.warmed(stream=stream, boxes=pack(box(**given)), factor=1.0, **ASKED)
        peak = warmth.peak_of(warmth=found)
        heat = 12.0 * 400.0 * (float(np.interp(peak, KELVIN, (TEN_SECONDS + MORE)[10])) + 2e-5)  # of a module
        published.check(
            source="sum of resistances, closed form", law="cooling_of", asked=f"at {speed:g} m/s, hottest core above the air [K]",
            expected=heat * (1 / 20.0 + 1 / (300.0 * bottom) + 1 / radiator), got=peak - AIR, rel=2e-3,
            why="after two weeks", keys=PEAK,
        )  # fmt: skip
    published.check(
        source="definition: the mean over time", law="speed_of", asked="half the time 10 m/s, else 30 m/s [m/s]", expected=20.0,
        got=warmth.speed_of(stream=warmth.Stream(square, square, square, np.tile([10.0, 30.0], 2000), 300.0)), rel=1e-12,
        why="exact", keys=("heat.radiator_fitted",),
    )  # fmt: skip


FRAME: dict[str, Any] = {
    "count": 8.0, "module_length": 0.39, "module_width": 0.152, "module_height": 0.11, "packed": 50.0, "gap": 12.0, "floor": 20.0,
    "film": 313.15, "density": 1.13, "gravity": 9.81,
}  # fmt: skip


def frames(**changes: Any) -> blown.Frames:
    """Two boxes as `box` makes them."""
    stuff = battery_box.stuff_of(cells=12.0, cell_heat=10600.0, case_heat=2700.0, inside=20.0)
    one = box_frame.frame_of(stuff=stuff, shell=shell_of(), **FRAME | changes)
    return blown.one_frame_more(frames=blown.first_frame(frame=one), frame=one)


def test_air_that_is_needed(published) -> None:
    """By another search, on boxes that are put together anew for each flow."""
    stream = warmth.steady_stream(current=40.0, charge=0.5, speed=0.0, time=7200.0)

    def beyond(flow: float, limit: float) -> float:
        boxes = pack(box(stream=flow), box(stream=flow))
        return warmth.peak_of(warmth=warmth.warmed(stream=stream, boxes=boxes, factor=1.0, **ASKED)) - limit

    bare, gale = (beyond(flow, 0.0) for flow in (0.0, blown.MOST_AIR))
    for share in (0.2, 0.5, 0.8):
        limit = gale + share * (bare - gale)
        published.check(
            source="scipy brentq over the flow, the boxes of `box_of`", law="air_needed",
            asked=f"limit {limit - AIR:.1f} K above the air [m³/h for each module]",
            expected=3600 * brentq(beyond, 0.0, blown.MOST_AIR, args=(limit,)),
            got=3600 * blown.air_needed(stream=stream, frames=frames(), limit=limit, **ASKED), rel=0.01,
            why="so far six tries come", keys=("heat.air_flow",),
        )  # fmt: skip
    for law in ("frame_of", "first_frame", "one_frame_more"):
        published.check(
            source="the boxes of `box_of`, at a flow", law=law, asked="boxes from frames, hottest core [K]",
            expected=beyond(0.002, 0.0), got=_from_frames(stream, 0.002), rel=1e-12, why="the same boxes", keys=("heat.air_flow",),
        )  # fmt: skip


def _from_frames(stream: warmth.Stream, flow: float) -> float:
    cooling = battery_box.cooling_of(stream=flow, plate=0.0, standing=0.0, moving=0.0, speed=1.0)
    boxes = pack(*(battery_box.box_of(**each._asdict(), cooling=cooling) for each in frames().each))
    return warmth.peak_of(warmth=warmth.warmed(stream=stream, boxes=boxes, factor=1.0, **ASKED))


def test_air_over_samples_is_as_at_a_point() -> None:
    """None where none is needed, no number where the most is not enough, and else the same as alone."""
    stream = warmth.steady_stream(current=40.0, charge=0.5, speed=0.0, time=7200.0)
    growth: Any = np.array([0.2, 0.95, 1.0, 1.1, 30.0])
    asked: dict[str, Any] = {**ASKED, "growth": growth}
    gale = warmth.Boxes(tuple(box(stream=blown.MOST_AIR) for _ in range(2)))
    ends = [
        warmth.peak_of(warmth=warmth.warmed(stream=stream, boxes=each, factor=1.0, **ASKED)) for each in (pack(box(), box()), gale)
    ]  # fmt: skip
    limit = (ends[0] + ends[1]) / 2.0
    many_of: Any = blown.air_needed(stream=stream, frames=frames(), limit=limit, **asked)
    alone = [
        blown.air_needed(stream=stream, frames=frames(), limit=limit, **{**asked, "growth": float(each)})
        for each in growth
    ]
    assert many_of == pytest.approx(np.array(alone), rel=1e-6, nan_ok=True)
    assert many_of[0] == 0.0
    assert np.isnan(many_of[-1])
    assert 0.0 < many_of[1] < many_of[2] < many_of[3]


@pytest.mark.parametrize(
    ("count", "middle"), [(1, 1), (2, 2), (4, 2), (8, 4)], ids=["one", "two", "four in a row", "two layers of four"]
)
def test_which_modules_are_enclosed(count: int, middle: int) -> None:
    """So many modules have others all round them, and no more faces are open than there are."""
    module, sizes = (0.39, 0.152, 0.11), (0.45, 0.66, 0.28)
    found = battery_box.layout_of(float(count), sizes if count == 8 else (0.45, 0.66, 0.15), module)
    whole = 2 * (0.39 * 0.152 + 0.39 * 0.11 + 0.152 * 0.11)
    assert found.middle == middle
    assert found.edge == count - middle
    assert found.open_middle + found.open_edge <= count * whole + 1e-12
