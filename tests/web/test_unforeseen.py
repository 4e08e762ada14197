"""Requests that nobody thought of, made from the description of the interface: none may end in a mistake of ours."""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.errors import Unsatisfiable
from schemathesis import GenerationMode

from at_the_door import Seconds, Site
from staff import ANN, Clock
from voltwright.records.records import Records
from voltwright.services.workshop import Workshop
from voltwright.web.app import make_app

IMPATIENT = (HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large)
EXAMPLES = 6  # of each address, half of them against the description
SLOW = ("/dossier", "/papers", "/fitting/", "/effects", "/tables/", "/compare", "/backups", "/revisions", "/remedies")


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory, with_people: Path) -> Iterator[Site]:
    folder = tmp_path_factory.mktemp("unforeseen")
    shutil.copytree(with_people, folder / "records")
    with pytest.MonkeyPatch.context() as patch, Workshop(Records.open(folder / "records"), clock=Clock()) as shop:
        patch.setenv("VOLTWRIGHT_HOME", str(folder / "home"))
        shop.builds.start_example(ANN, "coupe")
        made = Site(shop, folder / "log", Seconds(), Clock())
        yield made
        made.journal.close()


def _operations(site: Site) -> list[Any]:
    described = schemathesis.openapi.from_dict(make_app(site.shop, site.entrance).openapi())
    found: Any = described.get_all_operations()
    return [each.ok() for each in found]


def _sent(client: Any, made: dict[str, Any]) -> Any:
    """A request as our own page would send it, but for what was made up."""
    body = {"json": made["json"]} if "json" in made else {}
    if isinstance(made.get("data"), (bytes, str)):
        body = {"content": made["data"]}
    headers = {name: each for name, each in made["headers"].items() if name.lower() not in ("cookie", "host", "origin")}
    return client.request(made["method"], made["url"], params=made.get("params"), headers=headers, **body)


def test_no_request_ends_in_a_mistake_of_ours(site: Site) -> None:
    client = site.caller()
    operations = _operations(site)
    assert len(operations) > 40
    asked = 0
    for operation in operations:
        slow = any(part in operation.path for part in SLOW)
        for mode in (GenerationMode.POSITIVE, GenerationMode.NEGATIVE):

            @settings(
                max_examples=2 if slow else EXAMPLES // 2,
                suppress_health_check=IMPATIENT,
                deadline=None,
                database=None,
            )
            @given(case=operation.as_strategy(generation_mode=mode), known=st.booleans())
            def ask(case: Any, known: bool) -> None:
                nonlocal asked
                if known:  # else hardly any request would reach a car or build that there is
                    case.path_parameters |= {name: 1 for name in ("car", "build") if name in case.path_parameters}
                answer = _sent(client, case.as_transport_kwargs(base_url=site.origin))
                asked += 1
                assert answer.status_code < 500, (case.as_curl_command(), answer.text[:300])

            with contextlib.suppress(Unsatisfiable):  # an address at which nothing can be wrong
                ask()
    assert asked > 2 * len(operations)
