"""Debian's Chromium before a server in a process of its own; whatever it asks elsewhere, or its console complains of, is noted."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from at_the_door import PASSWORDS
from browser_sight import REBOUND, Sight
from helpers import dossier
from serving import Served, served
from staff import ANN, BEN, CAT, Clock
from voltwright.records.records import Records
from voltwright.services.workshop import Workshop

expect.set_options(timeout=30_000)  # as long as a machine with other work may take
SCREENS = Path(__file__).parents[2] / "build" / "screens"


@pytest.fixture(scope="session", autouse=True)
def compiled() -> None:
    """Every loop is compiled before a page waits for it: after a change of the laws that takes longer than a page is waited for."""
    dossier(with_bands=True)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    path = shutil.which("chromium")
    assert path, "the tests need Debian's package chromium"
    rules = (f"--host-resolver-rules=MAP {REBOUND} 127.0.0.1",)
    root = ("--no-sandbox",) if os.geteuid() == 0 else ()
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=path, args=[*rules, *root])
        yield browser
        browser.close()


@pytest.fixture
def context(chromium: Browser) -> Iterator[BrowserContext]:
    made = chromium.new_context()
    made.set_default_timeout(90_000)
    yield made
    made.close()


@pytest.fixture
def shot(context: BrowserContext) -> Callable[..., None]:
    """Takes a picture of the whole first page, or of another, under a name, to be looked at: `build/screens/NAME.png`."""

    def take(name: str, page: Page | None = None) -> None:
        SCREENS.mkdir(parents=True, exist_ok=True)
        (page or context.pages[0]).screenshot(path=SCREENS / f"{name}.png", full_page=True)

    return take


def _records(home: Path) -> None:
    """Two cars of examples, and three people; the second car is there to be changed."""
    with Workshop(Records.open(home), clock=Clock()) as shop:
        for who in (ANN, BEN, CAT):
            shop.people.add(ANN, who.name, who.role, PASSWORDS[who.name])
        shop.builds.start_example(ANN, "coupe", car_name="Blue coupé")
        shop.builds.start_example(ANN, "roadster", car_name="Red roadster", customer="Mrs Penhaligon")


@pytest.fixture(scope="module")
def local_site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One server for each file of tests: what the tests of another file edit is not met here, in whatever order they run."""
    home = tmp_path_factory.mktemp("local")
    _records(home)
    with served(home) as site:
        yield site


@pytest.fixture(scope="module")
def lan_site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    home = tmp_path_factory.mktemp("lan")
    _records(home)
    with served(home, "--lan", "--name", "workshop.local") as site:
        yield site


@pytest.fixture
def local(context: BrowserContext, local_site: Served) -> Sight:
    return Sight(context.new_page(), local_site.address)


@pytest.fixture
def lan(context: BrowserContext, lan_site: Served) -> Sight:
    return Sight(context.new_page(), lan_site.address)


@pytest.fixture
def own_site(tmp_path: Path) -> Iterator[Served]:
    """A server of this test alone, for journeys that leave parts and edits behind."""
    _records(tmp_path)
    with served(tmp_path) as site:
        yield site


@pytest.fixture
def mine(context: BrowserContext, own_site: Served) -> Sight:
    return Sight(context.new_page(), own_site.address)
