"""Whoever signs in as viewer may look; every change that he forges is refused by the use cases themselves."""

from __future__ import annotations

import re
from typing import Any

import pytest

from at_the_door import Site
from staff import ANN, BEN, CAT
from voltwright.services.views import MAY
from voltwright.web.app import make_app

SINCE = {"since": 1}
PART = {"kind": "fuse", "id": "fuse/own"}
TECHNICIAN: list[tuple[str, str, Any]] = [
    ("POST", "/api/cars", {"name": "Forged"}),
    ("PATCH", "/api/cars/1", {"away": True}),
    ("POST", "/api/examples/coupe", {}),
    ("POST", "/api/cars/1/builds", {"name": "forged", "text": "x"}),
    ("POST", "/api/cars/1/files", b"%PDF-"),
    ("PATCH", "/api/builds/1", SINCE | {"changes": {"title": "Forged"}}),
    ("PUT", "/api/builds/1/name", {"name": "forged"}),
    ("PUT", "/api/builds/1/text", SINCE | {"text": "x"}),
    ("POST", "/api/builds/1/take-out", SINCE | {"path": "title"}),
    ("POST", "/api/builds/1/undo", SINCE),
    ("POST", "/api/builds/1/redo", SINCE),
    ("POST", "/api/builds/1/revisions", SINCE | {"name": "forged"}),
    ("POST", "/api/builds/1/findings/mass.payload_seats/remedies/0", SINCE),
    ("PUT", "/api/parts", PART),
    ("DELETE", "/api/parts/fuse/own", None),
]
OWNER: list[tuple[str, str, Any]] = [
    ("POST", "/api/people", {"name": "Forged", "role": "owner", "password": "long enough"}),
    ("PATCH", "/api/people/1", {"role": "owner"}),
    ("PUT", "/api/people/1/password", {"password": "long enough"}),
    ("PUT", "/api/settings/key", {"value": 1}),
    ("POST", "/api/backups", None),
]
# What changes nothing that is kept, or only one's own session.
LOOKING = {"/api/session", "/api/session/password", "/api/compare", "/api/compare/jobs", "/api/compare/papers",
            "/api/builds/{build}/papers",
           "/api/builds/{build}/fitting/{kind}", "/api/jobs/{job}", "/sign-in", "/sign-out"}  # fmt: skip


def send(client: Any, method: str, path: str, body: Any) -> Any:
    path += "?name=forged.pdf" if path.endswith("/files") else ""
    return (
        client.request(method, path, content=body)
        if isinstance(body, bytes)
        else client.request(method, path, json=body)
    )


@pytest.mark.parametrize("who", [CAT, BEN], ids=lambda each: each.role)
def test_what_is_forged_is_refused(lan: Site, who: Any) -> None:
    """And nothing in the records is different afterwards."""
    lan.shop.builds.start_example(ANN, "coupe")
    before = (
        lan.shop.cars.list(ANN),
        lan.shop.cars.open(ANN, 1),
        lan.shop.people.list(ANN),
        lan.shop.settings.all(ANN),
    )
    client = lan.signed_in(who)
    for method, path, body in (TECHNICIAN if who is CAT else []) + OWNER:
        answer = send(client, method, path, body)
        assert (answer.status_code, answer.json()["code"]) == (403, "VW701"), (method, path, answer.text)
    after = (lan.shop.cars.list(ANN), lan.shop.cars.open(ANN, 1), lan.shop.people.list(ANN), lan.shop.settings.all(ANN))
    assert before == after


def test_every_changing_address_stands_in_a_list(lan: Site) -> None:
    """A new address must say who may use it, or the test above would not see it."""
    listed = {(method, path) for method, path, _ in TECHNICIAN + OWNER}
    known = make_app(lan.shop, lan.entrance).openapi()["paths"]
    missing = []
    for path, methods in known.items():
        pattern = re.compile(re.sub(r"\{[^}]+\}", "[^/]+", path))
        for method in {each.upper() for each in methods} & {"POST", "PUT", "PATCH", "DELETE"}:
            if path not in LOOKING and not any(m == method and pattern.fullmatch(each) for m, each in listed):
                missing.append((method, path))
    assert len(known) > 30
    assert missing == []


def test_nobody_signed_in_reaches_any_of_them(lan: Site) -> None:
    client = lan.caller()
    for method, path, body in TECHNICIAN + OWNER:
        assert send(client, method, path, body).status_code == 401, path


def test_the_table_of_roles_has_a_use_case_for_every_change() -> None:
    """The lists above are as long as the table of services says that they must be."""
    assert len(MAY["technician"] - MAY["viewer"]) == len(TECHNICIAN)
    assert len(MAY["owner"] - MAY["technician"]) - len({"people.list", "settings.all"}) == len(OWNER)
