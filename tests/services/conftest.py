"""A workshop with one car, in records of its own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from staff import ANN, Clock
from voltwright.records.records import Records
from voltwright.services.views import BuildRow
from voltwright.services.workshop import Workshop


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def shop(tmp_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch) -> Iterator[Workshop]:
    monkeypatch.setenv("VOLTWRIGHT_HOME", str(tmp_path / "home"))
    with Workshop(Records.open(tmp_path / "records"), clock=clock) as made:
        yield made


@pytest.fixture
def coupe(shop: Workshop) -> BuildRow:
    """The build of the example, in a car of its own."""
    return shop.builds.start_example(ANN, "coupe")
