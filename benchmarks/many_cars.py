"""Ten thousand cars over one trip, side by side on all cores, beside one after the other on one core."""

from __future__ import annotations

from collections.abc import Iterator

from benchmarks.example import compiled_trip, known, spread
from benchmarks.table import Row, Setting, median
from voltwright.kernels.journey import drive_many


def rows(setting: Setting) -> Iterator[Row]:
    _, cells, asked = known()
    cars = spread(setting.cars)
    one = median(compiled_trip(asked), setting.repeats * (1 if setting.small else 40))
    ours = median(lambda: drive_many(cars, cells, asked, once=True), setting.repeats)
    rate = setting.cars * len(asked.grade) / ours / 1e6
    note = f"{setting.cars} cars, all cores, {rate:.0f} million steps a second; other: one car's loop times as many, one core"
    yield Row("many_cars.trip", ours, one * setting.cars, 0.15, note)
