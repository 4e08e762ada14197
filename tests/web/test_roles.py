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
ANSWERS = {
    "donor": "Car", "year": 1966, "body": "saloon", "length": "4 m", "wheelbase": "2.4 m", "mass_kerb": "900 kg", "range": "80 km",
    "cruise_speed": "80 km/h", "seats": 2, "keep_gearbox": True, "motor": "motor/pm-90kw-350v", "module": "module/nmc-12s-50ah",
    "modules": 16, "title": "Forged", "country": "IE", "currency": "EUR",
}  # fmt: skip
PART = {"kind": "fuse", "id": "fuse/own"}
# By use case: what somebody would send who may not.
TECHNICIAN: dict[str, tuple[str, str, Any]] = {
    "cars.start": ("POST", "/api/cars", {"name": "Forged"}),
    "cars.change": ("PATCH", "/api/cars/1", {"away": True}),
    "builds.start": ("POST", "/api/cars/1/builds", {"name": "forged", "text": "x"}),
    "builds.start_example": ("POST", "/api/examples/coupe", {}),
    "builds.begin": ("POST", "/api/answers", ANSWERS),
    "builds.take_in": ("POST", "/api/folders", {"files": [{"path": "a.yaml", "content": ""}]}),
    "builds.rename": ("PUT", "/api/builds/1/name", {"name": "forged"}),
    "edits.change": ("PATCH", "/api/builds/1", SINCE | {"changes": {"title": "Forged"}}),
    "edits.take_out": ("POST", "/api/builds/1/take-out", SINCE | {"path": "title"}),
    "edits.write": ("PUT", "/api/builds/1/text", SINCE | {"text": "x"}),
    "edits.second_pack": ("POST", "/api/builds/1/second-pack", SINCE),
    "edits.undo": ("POST", "/api/builds/1/undo", SINCE),
    "edits.redo": ("POST", "/api/builds/1/redo", SINCE),
    "revisions.save": ("POST", "/api/builds/1/revisions", SINCE | {"name": "forged"}),
    "mending.apply": (
        "POST",
        "/api/builds/1/findings/mass.payload_seats/remedies",
        SINCE | {"changes": {"title": "Forged"}},
    ),
    "parts.put": ("PUT", "/api/parts", PART),
    "parts.take_off": ("DELETE", "/api/parts/fuse/own", None),
    "attachments.add": ("POST", "/api/cars/1/files", b"%PDF-"),
}
OWNER: dict[str, tuple[str, str, Any]] = {
    "people.list": ("GET", "/api/people", None),
    "people.add": ("POST", "/api/people", {"name": "Forged", "role": "owner", "password": "long enough"}),
    "people.change": ("PATCH", "/api/people/1", {"role": "owner"}),
    "people.set_password": ("PUT", "/api/people/1/password", {"password": "long enough"}),
    "settings.all": ("GET", "/api/settings", None),
    "settings.set": ("PUT", "/api/settings/key", {"value": 1}),
    "backups.make": ("POST", "/api/backups", None),
}
ALL = TECHNICIAN | OWNER
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
    for name in sorted(MAY["owner"] - MAY[who.role]):
        answer = send(client, *ALL[name])
        assert (answer.status_code, answer.json()["code"]) == (403, "VW701"), (name, answer.text)
        assert f"({name})" in answer.json()["problems"][0]["what"], "the address leads to another use case"
    after = (lan.shop.cars.list(ANN), lan.shop.cars.open(ANN, 1), lan.shop.people.list(ANN), lan.shop.settings.all(ANN))
    assert before == after


def test_every_changing_address_stands_in_a_list(lan: Site) -> None:
    """A new address must say who may use it, or the test above would not see it."""
    listed = {(method, path) for method, path, _ in ALL.values()}
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
    for method, path, body in ALL.values():
        assert send(client, method, path, body).status_code == 401, path


def test_every_use_case_that_not_everybody_may_stands_in_a_table() -> None:
    """A new one without a row fails here, and the test of what is forged walks the permissions."""
    assert TECHNICIAN.keys() == MAY["technician"] - MAY["viewer"]
    assert OWNER.keys() == MAY["owner"] - MAY["technician"]
