"""A build by its number alone, and under another name."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from voltwright.quantity.errors import AbsentError, EntryError
from voltwright.records.records import Records

AT = datetime(2026, 11, 27, 9, 30, tzinfo=UTC)


def test_a_build_is_known_with_its_car_and_gets_another_name(records: Records) -> None:
    car = records.cars.add("coupé", who="Ann", at=AT)
    first = records.cars.add_build(car.id, "first", "voltwright: 1\n", who="Ann", at=AT)
    records.cars.add_build(car.id, "second", "voltwright: 1\n", who="Ann", at=AT)
    assert records.cars.build(first.id) == first
    assert records.cars.rename_build(first.id, "as quoted").name == "as quoted"
    assert records.cars.build(first.id).car == car.id
    with pytest.raises(EntryError, match="build 'second' already"):
        records.cars.rename_build(first.id, "second")
    assert records.cars.rename_build(first.id, "as quoted").number == 1
    for unknown in (records.cars.build, lambda build: records.cars.rename_build(build, "x")):
        with pytest.raises(AbsentError, match="There is no build 99"):
            unknown(99)
