"""The guard: host, origin, headers and size, on HTTP and on the websocket, whatever lies behind."""

from __future__ import annotations

import json
import os
import stat
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from starlette.types import Receive, Scope, Send
from starlette.websockets import WebSocketDisconnect

from at_the_door import PORT, Make, Site
from staff import ANN
from voltwright.web import guard
from voltwright.web.guard import Guard
from voltwright.web.journal import Journal

OWN = f"http://localhost:{PORT}"
SOCKET = f"ws://localhost:{PORT}/_nicegui_ws/socket.io/"
CHANGES = ("POST", "PUT", "PATCH", "DELETE")


class Behind:
    """Stands for everything that is served: it notes who reached it and answers anything."""

    def __init__(self) -> None:
        self.reached: list[Scope] = []
        self.read = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        self.reached.append(scope)
        if scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.accept"})
            await send({"type": "websocket.send", "text": "welcome"})
            return
        more = True
        while more:
            message = await receive()
            self.read += len(message.get("body", b""))
            more = message.get("more_body", False)
        headers = [(b"content-type", b"text/html"), (b"access-control-allow-origin", b"*")]
        await send({"type": "http.response.start", "status": 200, "headers": headers})
        await send({"type": "http.response.body", "body": b"welcome"})


class Guarded:
    def __init__(self, site: Site) -> None:
        self.behind = Behind()
        self.client = TestClient(Guard(self.behind, site.entrance, site.journal), OWN, follow_redirects=False)

    def ask(self, method: str = "GET", path: str = "/", **headers: str) -> Any:
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        return self.client.request(method, path, headers=sent)


@pytest.fixture
def guarded(local: Site) -> Guarded:
    return Guarded(local)


@pytest.mark.parametrize("host", [f"localhost:{PORT}", f"LOCALHOST:{PORT}", f"127.0.0.1:{PORT}", f"[::1]:{PORT}"])
def test_own_address_is_let_in(guarded: Guarded, host: str) -> None:
    assert guarded.ask(host=host).text == "welcome"


@pytest.mark.parametrize(
    "host",
    ["rebound.example", f"rebound.example:{PORT}", "localhost", f"localhost:{PORT + 1}", f"localhost.example:{PORT}",
     f"192.0.2.9:{PORT}", f"127.0.0.1.example:{PORT}", f"localhost:{PORT}@x", f" localhost:{PORT}/", "", f"[::1:{PORT}"],
)  # fmt: skip
def test_page_elsewhere_cannot_rebind_its_name_to_this_computer(guarded: Guarded, host: str) -> None:
    answer = guarded.ask(host=host)
    assert answer.status_code == 403
    assert answer.json()["code"] == "VW704"
    assert guarded.behind.reached == []


def test_network_reaches_the_address_of_this_computer_and_its_names(make: Make) -> None:
    site = make(lan=True, names=("workshop.local",))
    doors = site.entrance.doors
    assert doors.is_ours(f"192.0.2.9:{PORT}", "192.0.2.9")
    assert doors.is_ours(f"workshop.local:{PORT}", "192.0.2.9")
    assert not doors.is_ours(f"192.0.2.8:{PORT}", "192.0.2.9")
    assert not doors.is_ours(f"other.local:{PORT}", "192.0.2.9")


@pytest.mark.parametrize("method", CHANGES)
def test_change_needs_our_own_origin(guarded: Guarded, method: str) -> None:
    assert guarded.ask(method, origin=OWN).status_code == 200
    reached = len(guarded.behind.reached)
    for origin in (
        "http://elsewhere.example",
        "null",
        f"https://localhost:{PORT}",
        "http://localhost",
        f"{OWN}.example",
        "",
    ):
        assert guarded.ask(method, origin=origin).status_code == 403, origin
    assert guarded.ask(method).status_code == 403
    assert len(guarded.behind.reached) == reached


def test_program_says_that_it_is_one(guarded: Guarded) -> None:
    assert guarded.ask("POST", x_voltwright="program").status_code == 200
    assert guarded.ask("POST", x_voltwright="program", origin="http://elsewhere.example").status_code == 403


def test_reading_with_a_foreign_origin_is_refused_too(guarded: Guarded) -> None:
    assert guarded.ask(origin="http://elsewhere.example").status_code == 403


def test_other_sites_may_link_to_a_page_but_fetch_nothing(guarded: Guarded) -> None:
    link = {"sec_fetch_site": "cross-site", "sec_fetch_mode": "navigate", "sec_fetch_dest": "document"}
    assert guarded.ask(**link).status_code == 200
    assert guarded.ask(**link | {"sec_fetch_dest": "iframe"}).status_code == 403
    assert guarded.ask(**link | {"sec_fetch_mode": "no-cors", "sec_fetch_dest": "image"}).status_code == 403
    assert guarded.ask(sec_fetch_site="same-origin", sec_fetch_mode="cors", sec_fetch_dest="empty").status_code == 200


def test_websocket_opens_to_our_own_page_alone(guarded: Guarded) -> None:
    with guarded.client.websocket_connect(SOCKET, headers={"origin": OWN}) as socket:
        assert socket.receive_text() == "welcome"
    reached = len(guarded.behind.reached)
    refused = ({"origin": "http://elsewhere.example"}, {"origin": "null"}, {}, {"x-voltwright": "program"},
               {"origin": OWN, "host": f"rebound.example:{PORT}"})  # fmt: skip
    for headers in refused:
        with (
            pytest.raises(WebSocketDisconnect) as caught,
            guarded.client.websocket_connect(SOCKET, headers=headers),
        ):
            pass
        assert caught.value.code == 1008, headers
    assert len(guarded.behind.reached) == reached


def test_websocket_needs_a_session_where_people_sign_in(lan: Site) -> None:
    guarded = Guarded(lan)
    with (
        pytest.raises(WebSocketDisconnect),
        guarded.client.websocket_connect(SOCKET, headers={"origin": OWN}),
    ):
        pass
    assert guarded.behind.reached == []


def test_every_answer_carries_the_headers(guarded: Guarded) -> None:
    answer = guarded.ask()
    policy = answer.headers["content-security-policy"]
    for rule in (
        "default-src 'none'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "connect-src 'self'",
    ):
        assert rule in policy
    assert "'unsafe-inline'" not in policy.partition("script-src")[2].partition(";")[0]
    assert policy != guarded.ask().headers["content-security-policy"], "the nonce is used once"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["referrer-policy"] == "same-origin"
    assert answer.headers["cache-control"] == "no-store"
    assert "access-control-allow-origin" not in answer.headers
    assert guarded.ask(host="rebound.example").headers["x-content-type-options"] == "nosniff"


KINDS: dict[str, tuple[int, str, str, dict[str, Any]]] = {
    "a page": (200, "GET", "/sign-in", {}),
    "an answer of the interface": (200, "GET", "/api/cars", {}),
    "a file": (200, "GET", "/api/builds/1/tables/parts.csv", {}),
    "a backup": (200, "POST", "/api/backups", {}),
    "a redirection": (303, "GET", "/", {"cookie": "", "accept": "text/html"}),
    "nobody signed in": (401, "GET", "/api/cars", {"cookie": ""}),
    "a foreign host": (403, "GET", "/", {"host": "rebound.example"}),
    "a foreign origin": (403, "POST", "/api/cars", {"origin": "http://elsewhere.example"}),
    "no such address": (404, "GET", "/api/nothing", {}),
    "too much": (413, "POST", "/api/cars", {"content-length": str(guard.MOST_SENT + 1)}),
    "a wrong value": (422, "GET", "/api/cars/x", {}),
    "a mistake of ours": (500, "GET", "/api/jobs", {}),
}


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_can_be_framed(lan: Site, monkeypatch: pytest.MonkeyPatch, kind: str) -> None:
    """Each kind of answer comes by a way of its own: none may miss the guard's headers."""

    def broken(*_: object) -> None:
        raise ZeroDivisionError

    lan.shop.builds.start_example(ANN, "coupe")
    monkeypatch.setattr(type(lan.shop.jobs), "list", broken)
    status, method, path, headers = KINDS[kind]
    caller = lan.caller() if kind == "a page" else lan.signed_in(ANN)
    if headers.get("cookie") == "":
        caller.cookies.clear()
    answer = caller.request(method, path, headers=headers)
    assert answer.status_code == status, answer.text
    assert answer.headers["x-frame-options"] == "DENY"
    assert "frame-ancestors 'none'" in answer.headers["content-security-policy"]


def test_what_a_header_says_of_where_it_came_from_is_dropped(guarded: Guarded) -> None:
    guarded.ask(x_forwarded_for="10.0.0.1", x_forwarded_prefix="/evil", forwarded="for=10.0.0.1")
    names = {name for name, _ in guarded.behind.reached[0]["headers"]}
    assert not {name for name in names if b"forwarded" in name}


def test_too_much_is_refused_before_it_is_read(guarded: Guarded) -> None:
    answer = guarded.client.post("/", content=b"x" * (guard.MOST_SENT + 1), headers={"origin": OWN})
    assert answer.status_code == 413
    assert answer.json()["code"] == "VW703"
    assert guarded.behind.reached == []


def test_too_much_is_refused_while_it_comes(guarded: Guarded) -> None:
    """Without a length told before, the count stops it, and what the application would answer is not sent."""
    sent = 0

    def stream() -> Any:
        nonlocal sent
        for _ in range(100):
            sent += 1
            yield b"x" * 100_000

    answer = guarded.client.post("/", content=stream(), headers={"origin": OWN})
    assert answer.status_code == 413
    assert guarded.behind.read <= guard.MOST_SENT


def test_files_of_a_car_may_be_larger(guarded: Guarded) -> None:
    content = b"x" * (guard.MOST_SENT + 1)
    assert guarded.client.post("/api/cars/1/files", content=content, headers={"origin": OWN}).status_code == 200
    assert guarded.client.post("/api/cars/1/files/x", content=content, headers={"origin": OWN}).status_code == 413


def test_the_journal_keeps_to_one_line(local: Site) -> None:
    client = local.caller()
    client.get("/x%0Afake: signed in%0D%E2%80%A8line", headers={"host": "rebound.example"})
    (line,) = local.told().splitlines()
    assert json.loads(line)["what"] == "foreign request"


def test_the_journal_is_for_its_owner_alone(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        journal = Journal(tmp_path / "doors.log", lambda: datetime(2026, 11, 28, tzinfo=UTC))
        for _ in range(4_000):  # more than one file holds
            journal.note("wrong name or password", "192.0.2.1", name="x" * 150)
        journal.close()
    finally:
        os.umask(before)
    files = sorted(tmp_path.iterdir())
    assert len(files) > 1
    assert {stat.S_IMODE(each.stat().st_mode) for each in files} == {0o600}
