"""Workshops behind doors of each kind."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from at_the_door import PASSWORDS, Make, Seconds, Site
from staff import ANN, BEN, CAT, Clock
from voltwright.records.records import Records
from voltwright.services.workshop import Workshop


@pytest.fixture(scope="session")
def with_people(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Records in which three people may sign in; hashing their passwords takes longer than copying it."""
    folder = tmp_path_factory.mktemp("people")
    with Workshop(Records.open(folder), clock=Clock()) as shop:
        for who in (ANN, BEN, CAT):
            shop.people.add(ANN, who.name, who.role, PASSWORDS[who.name])
    return folder


@pytest.fixture
def make(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, with_people: Path) -> Iterator[Make]:
    """Builds a site: `make(lan=True)`."""
    monkeypatch.setenv("VOLTWRIGHT_HOME", str(tmp_path / "home"))
    made: list[Site] = []

    def build(**options: Any) -> Site:
        folder, clock = tmp_path / f"records-{len(made)}", Clock()
        if options.get("lan"):
            shutil.copytree(with_people, folder)
        site = Site(
            Workshop(Records.open(folder), clock=clock), tmp_path / f"log-{len(made)}", Seconds(), clock, **options
        )
        made.append(site)
        return site

    yield build
    for site in made:
        site.journal.close()
        site.shop.close()


@pytest.fixture
def local(make: Make) -> Site:
    """Doors to this computer alone."""
    return make()


@pytest.fixture
def lan(make: Make) -> Site:
    """Doors to the network, with three people."""
    return make(lan=True)


@pytest.fixture
def client(local: Site) -> Any:
    return local.caller()


@pytest.fixture
def build(client: Any) -> int:
    return client.post("/api/examples/coupe", json={"name": "Blue coupé"}).json()["id"]


@pytest.fixture
def nothing_unexpected(tmp_path: Path) -> Iterator[None]:
    """Nothing of the test is an error that nobody expected."""
    yield
    assert not (tmp_path / "home" / "errors.log").exists()
