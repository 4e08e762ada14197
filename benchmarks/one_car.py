"""One car: a trip once, the trip until the pack is empty, and the same loops by the interpreter and by a general solver."""

from __future__ import annotations

from collections.abc import Iterator

from benchmarks import general_solver
from benchmarks.example import compiled_trip, in_plain_python, known
from benchmarks.table import Row, Setting, median
from voltwright.kernels.car import Car
from voltwright.kernels.journey import drive_once, drive_until_empty


def rows(setting: Setting) -> Iterator[Row]:
    car, cells, asked = known()
    repeats = setting.repeats * (1 if setting.small else 40)
    plain = in_plain_python("trip", 1 if setting.small else 5)
    steps = f"WLTC 3b, {len(asked.grade)} steps of {asked.step:g} s; other: the same loops by the interpreter"
    compiled = median(compiled_trip(asked), repeats)
    yield Row("one_car.trip", compiled, plain, 8e-5, f"{steps}; {compiled / len(asked.grade) * 1e9:.0f} ns a step")
    call = median(lambda: drive_once(car, cells, asked), repeats)
    yield Row(
        "one_car.trip_call", call, plain, None, f"as Python calls it: {(call - compiled) * 1e6:.0f} µs to hand over"
    )
    numbers = Car(*(float(each) for each in car))
    energy = general_solver.drive(numbers, cells, asked)
    solver = median(lambda: general_solver.drive(numbers, cells, asked), 1 if setting.small else 3, warm=False)
    ours = drive_once(car, cells, asked).pack
    away = f"its energy {(energy / ours - 1) * 100:+.2f} % of ours"
    yield Row("one_car.trip_solver", compiled, solver, None, f"other: solve_ivp LSODA, laws in plain Python; {away}")
    driven = drive_until_empty(car, cells, asked)
    empty = median(lambda: drive_until_empty(car, cells, asked), repeats)
    trips = driven.way / asked.way
    note = f"{driven.way / 1000:.0f} km, {trips:.2f} trips; other: LSODA of one trip times that"
    yield Row("one_car.until_empty", empty, solver * trips, 1e-3, note)
