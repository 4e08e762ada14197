"""The records in one file: an edit saved, a car opened, the list of cars. Beside the first, what the disk alone takes."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

from benchmarks.example import COUPE
from benchmarks.table import Row, Setting, median
from voltwright.records.records import Records
from voltwright.records.revisions import WorkedOut

AT = datetime(2026, 11, 27, 9, 30, tzinfo=UTC)
TEXT = COUPE.read_text(encoding="utf-8")


def rows(setting: Setting) -> Iterator[Row]:
    cars, revisions = (20, 5) if setting.small else (2_000, 500)
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder, Records.open(Path(folder)) as records:
        build = _one_car(records, revisions)
        number = count(records.drafts.now(build).number)

        def save() -> None:
            since = next(number)
            records.drafts.save(build, f"{TEXT}# {since}\n", since=since, who="Ann", at=AT)

        edit = median(save, setting.repeats)
        disk = median(lambda: _to_disk(Path(folder) / "plain"), setting.repeats)
        yield Row(
            "records.save_edit",
            edit,
            disk,
            0.010,
            f"{len(TEXT)} characters; other: as many appended and put onto the disk",
        )
        opened = median(lambda: records.cars.open(1), setting.repeats)
        yield Row(
            "records.open_car",
            opened,
            None,
            0.050,
            f"{revisions} revisions with their headlines; nothing to compare with",
        )
        for each in range(cars - 1):
            car = records.cars.add(f"Car {each}", customer="A. Nobody", who="Ann", at=AT).id
            records.cars.add_build(car, "as ordered", TEXT, who="Ann", at=AT)
        listed = median(records.cars.list, setting.repeats)
        yield Row("records.list_cars", listed, None, 0.100, f"{cars} cars of one build each; nothing to compare with")


def _one_car(records: Records, revisions: int) -> int:
    """A car whose build has so many revisions, an edit before each."""
    car = records.cars.add("Coupé", who="Ann", at=AT).id
    build = records.cars.add_build(car, "as ordered", TEXT, who="Ann", at=AT).id
    figures = {
        f"figure.{each}": {"value": each * 1.1, "unit": "kg", "low": each, "high": each + 2} for each in range(12)
    }
    made_with = WorkedOut("ab" * 32, "0.1.0", figures)
    for since in range(1, revisions + 1):
        records.revisions.save(build, f"r{since}", since=since, reason="", worked_out=made_with, who="Ann", at=AT)
        records.drafts.save(build, f"{TEXT}# edit {since}\n", since=since, who="Ann", at=AT)
    return build


def _to_disk(file: Path) -> None:
    with file.open("a", encoding="utf-8") as stream:
        stream.write(TEXT)
        stream.flush()
        os.fsync(stream.fileno())
