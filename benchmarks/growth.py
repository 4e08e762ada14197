"""Whether the cost grows with the work and no faster: the cost of a step and of a car, from few to many."""

from __future__ import annotations

from collections.abc import Iterator

from benchmarks.example import compiled_trip, known, spread
from benchmarks.heat_network import chain
from benchmarks.table import Row, Setting, median, seconds
from voltwright.kernels.journey import drive_many, finer


def rows(setting: Setting) -> Iterator[Row]:
    _, cells, asked = known()
    steps = {}
    for parts in (1, 5, 10):
        fine = finer(asked, parts)
        count = len(fine.grade)
        steps[count] = median(compiled_trip(fine), setting.repeats * (1 if setting.small else 10)) / count
    yield _row("growth.step", steps, "steps")
    cars = {}
    for count in (64, 128, 256) if setting.small else (1000, 4000, 16000):
        many = spread(count)
        cars[count] = median(lambda many=many: drive_many(many, cells, asked, once=True), setting.repeats) / count
    yield _row("growth.car", cars, "cars")
    yield from _heat(setting)


def _heat(setting: Setting) -> Iterator[Row]:
    """An hour of duty on networks of three sizes: the cost of a body."""
    bodies = {count: median(chain(count), setting.repeats) / count for count in (10, 40, 160)}
    yield _row("growth.heat_body", bodies, "bodies")
    yield Row(
        "growth.heat_hour", bodies[40] * 40, None, 20e-3, "an hour of duty in steps of 20 s on a network of 40 bodies"
    )


def _row(name: str, costs: dict[int, float], what: str) -> Row:
    """The cost of one in the smallest lot, beside that in the largest: a ratio of one is linear."""
    said = ", ".join(f"{seconds(cost)} each of {count}" for count, cost in costs.items())
    least, most = min(costs), max(costs)
    return Row(name, costs[least], costs[most], None, f"cost of one of {least} {what}; other: of {most}; {said}")
