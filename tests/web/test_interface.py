"""The interface for programs: one round through a car, errors in the form of the house, files and their names."""

from __future__ import annotations

import contextlib
import csv
import io
import re
import tempfile
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from starlette.types import Message, Receive, Scope, Send

from at_the_door import Site
from voltwright.parts.shelf import catalogue
from voltwright.quantity.errors import FullError, Problem
from voltwright.services import mishaps
from voltwright.web import guard
from voltwright.web.disposition import disposition

PNG = b"\x89PNG\r\n\x1a\n" + bytes(20)


def test_one_round(client: Any, build: int) -> None:
    (car,) = client.get("/api/cars").json()
    assert car["name"] == "Blue coupé"
    draft = client.get(f"/api/builds/{build}").json()
    changed = client.patch(
        f"/api/builds/{build}", json={"since": draft["number"], "changes": {"donor.mass_kerb": "1040 kg"}}
    )
    assert changed.status_code == 200, changed.text
    assert "1040 kg" in changed.json()["text"]
    quick = {"bands": False, "search": False}
    before, after = (
        client.get(f"/api/builds/{build}/dossier", params=quick | {"edit": number}).json()
        for number in (draft["number"], 2)
    )
    assert _figure(before, "mass.kerb")["value"] != _figure(after, "mass.kerb")["value"]
    assert _figure(after, "mass.kerb")["unit"] == "kg"
    assert client.get(f"/api/builds/{build}/figures/mass.kerb").json()["text"]
    assert client.post(f"/api/builds/{build}/undo", json={"since": 2}).json()["number"] == 3
    assert [each["kind"] for each in client.get(f"/api/builds/{build}/log").json()] == ["begin", "edit", "undo"]


def _figure(dossier: Any, key: str) -> Any:
    return next(each for group in dossier["questions"] for each in group["figures"] if each["key"] == key)


def test_who_saves_second_is_told_what_the_first_did(client: Any, build: int) -> None:
    change = {"since": 1, "changes": {"title": "First"}}
    assert client.patch(f"/api/builds/{build}", json=change).status_code == 200
    answer = client.patch(f"/api/builds/{build}", json=change | {"changes": {"title": "Second"}})
    assert answer.status_code == 409
    told = answer.json()
    assert told["code"] == "VW606"
    assert told["newer"][0]["number"] == 2
    assert "First" in told["theirs"]
    assert "Second" in told["yours"]


@pytest.mark.parametrize(
    ("method", "path", "body", "status", "code"),
    [
        ("GET", "/api/cars/99", None, 404, "VW608"),
        ("GET", "/api/builds/99", None, 404, "VW608"),
        ("GET", "/api/builds/1/figures/mass.kerbb", None, 404, "VW401"),
        ("GET", "/api/parts/module/none", None, 422, "VW301"),
        ("GET", "/api/jobs/none", None, 409, "VW702"),
        ("PATCH", "/api/builds/1", {"since": 1, "changes": {"donor.mass_kerb": "heavy"}}, 422, "VW202"),
        ("POST", "/api/cars", {"name": ""}, 422, "VW609"),
        ("POST", "/api/cars", {"nam": "x"}, 422, "VW703"),
        ("GET", "/api/cars/none", None, 422, "VW703"),
        ("GET", "/api/cars/99999999999999999999", None, 422, "VW703"),
        ("GET", "/api/nothing", None, 404, "VW703"),
        ("PATCH", "/api/cars", None, 404, "VW703"),
        ("GET", "/api/builds/1/tables/..%2Fparts.csv", None, 404, "VW703"),
        ("GET", "/api/builds/1/tables/passwords.csv", None, 422, "VW501"),
    ],
)
def test_errors_have_the_form_of_the_house(
    client: Any, build: int, method: str, path: str, body: Any, status: int, code: str
) -> None:
    answer = client.request(method, path, json=body)
    told = answer.json()
    assert (answer.status_code, told["code"]) == (status, code), told
    assert told["title"]
    for each in told["problems"]:
        assert each.keys() == {"where", "what", "allowed", "mend"}
        assert each["what"]
        assert each["mend"]
    if code == "VW703" and status == 422:
        assert all(each["allowed"] for each in told["problems"])


@pytest.mark.parametrize(
    ("method", "path", "content", "where", "what", "allowed"),
    [
        ("GET", "/api/jobs/x?seconds=60", b"", "query.seconds", "'60' is outside what makes sense here", "up to 20"),
        ("GET", "/api/jobs/x?seconds=long", b"", "query.seconds", "'long' is not a number", "a number in digits"),
        ("GET", "/api/cars/none", b"", "path.car", "'none' is not a whole number", "a whole number in digits"),
        ("POST", "/api/cars", b"{}", "body.name", "this is missing", "a value"),
        ("POST", "/api/cars", b'{"name": "x", "nam": 1}', "body.nam", "'nam' is not known here", "the names that"),
        ("POST", "/api/cars", b'{"name": 1968}', "body.name", "'1968' is not a text", "a text"),
        ("POST", "/api/cars", b'{"name": ', "body.9", "what was sent is not JSON", "JSON"),
        (
            "GET",
            "/api/builds/1/dossier?units=feet",
            b"",
            "query.units",
            "is not one of the words",
            "'metric', 'uk' or 'us'",
        ),
    ],
)
def test_what_cannot_be_read_is_told_in_our_words(
    client: Any, method: str, path: str, content: bytes, where: str, what: str, allowed: str
) -> None:
    answer = client.request(method, path, content=content, headers={"Content-Type": "application/json"})
    told = answer.json()
    assert (answer.status_code, told["code"]) == (422, "VW703"), told
    (problem,) = told["problems"]
    assert problem["where"] == where
    assert what in problem["what"]
    assert problem["allowed"].startswith(allowed)
    assert problem["mend"].endswith("as /api/openapi.json describes it")


def test_a_mistake_in_a_build_says_where(client: Any, build: int) -> None:
    told = client.patch(f"/api/builds/{build}", json={"since": 1, "changes": {"donor.mass_kerb": "heavy"}}).json()
    assert "donor.mass_kerb" in told["problems"][0]["where"]


def test_what_nobody_expected_is_a_number_and_no_traceback(
    client: Any, local: Site, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def broken(*_: Any, **__: Any) -> None:
        raise ZeroDivisionError("secret detail")

    monkeypatch.setattr(type(local.shop.cars), "list", broken)
    answer = client.get("/api/cars")
    assert answer.status_code == 500
    assert answer.json()["code"] == mishaps.CODE
    assert "secret" not in answer.text
    assert "Traceback" not in answer.text
    (number,) = re.findall(r"Reference (\w+)", answer.text)
    log = (tmp_path / "home" / "errors.log").read_text(encoding="utf-8")
    assert log.count("Traceback") == 1
    assert number in log


def test_a_file_comes_back_as_it_was(client: Any, build: int) -> None:
    made = client.post("/api/cars/1/files", params={"name": "Waage vorn – 1.png", "note": "ticket"}, content=PNG)
    assert made.status_code == 201, made.text
    answer = client.get(f"/api/cars/1/files/{made.json()['id']}")
    assert answer.content == PNG
    assert answer.headers["content-disposition"].startswith("attachment; filename=")
    assert answer.headers["content-type"] == "image/png"
    assert answer.headers["content-security-policy"].startswith("default-src 'none'")


@pytest.mark.parametrize(
    "name",
    [
        *("../../etc/passwd.png", "..\\..\\x.png", "/etc/x.png", "a/b.png", "C:x.png"),
        *(".png", "..", "", "a\x00.png", "a\r\nb.png", "x" * 500 + ".png"),
    ],
)
def test_a_name_is_no_path(client: Any, build: int, name: str, tmp_path: Path) -> None:
    before = sorted(tmp_path.rglob("*"))
    answer = client.post("/api/cars/1/files", params={"name": name}, content=PNG)
    assert answer.status_code == 422
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("page.html", b"<script>"),
        ("drawing.svg", b"<svg/>"),
        ("photo.png", b"<script>alert(1)</script>"),
        ("empty.png", b""),
    ],
)
def test_what_could_act_is_not_kept(client: Any, build: int, name: str, content: bytes) -> None:
    assert client.post("/api/cars/1/files", params={"name": name}, content=content).status_code == 422


def test_a_file_too_large_is_refused(client: Any, build: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "MOST_UPLOADED", 1000)
    pieces = (b"\x89PNG\r\n\x1a\n" + bytes(400) for _ in range(10))
    assert client.post("/api/cars/1/files", params={"name": "x.png"}, content=pieces).status_code == 413
    assert client.get("/api/cars/1/files").json() == []


@pytest.mark.parametrize(
    "name", ['a"b\r\nSet-Cookie: x=1.pdf', "é–x.pdf", "..", "", '";alert(1)//.pdf', "\u202egnp.exe"]
)
def test_the_name_of_a_file_cannot_leave_its_header(name: str) -> None:
    header = disposition(name)
    assert re.fullmatch(r"attachment; filename=\"[A-Za-z0-9._ -]+\"; filename\*=UTF-8''[A-Za-z0-9._~%-]*", header), (
        header
    )
    assert "\u202e" not in header


def test_hostile_text_stays_text_in_json_and_in_a_spreadsheet(client: Any, build: int) -> None:
    hostile = '=HYPERLINK("http://example.invalid")<script>alert(1)</script>'
    fuse = dict(catalogue()._raw[catalogue().ids("fuse")[0]]) | {"id": "fuse/our-own", "title": hostile}
    assert client.put("/api/parts", json=fuse).status_code == 200
    refused = client.put("/api/parts", json=fuse | {"mass": "1 kg"})
    assert (refused.status_code, refused.json()["code"]) == (409, "VW606")
    assert client.put("/api/parts", json=fuse | {"mass": "1 kg"}, params={"since": 1}).status_code == 200
    changes = {"pack.protection.fuse": "fuse/our-own", "title": hostile}
    assert client.patch(f"/api/builds/{build}", json={"since": 1, "changes": changes}).status_code == 200
    answer = client.get("/api/parts/fuse/our-own")
    assert answer.json()["row"]["title"] == hostile
    assert answer.headers["content-type"] == "application/json"
    table = client.get(f"/api/builds/{build}/tables/parts.csv")
    assert table.headers["content-disposition"].startswith("attachment")
    cells = [cell for row in csv.reader(io.StringIO(table.text)) for cell in row]
    assert f"'{hostile}" in " ".join(cells)
    assert not [cell for cell in cells if cell[:1] in ("=", "@", "\t", "\r")]
    book = client.get(f"/api/builds/{build}/tables/workbook.xlsx", params={"units": "us"})
    assert book.headers["content-type"] == "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    assert 'filename="workbook.xlsx"' in book.headers["content-disposition"]
    assert book.content.startswith(b"PK")


def test_nothing_is_described_that_asks_elsewhere(client: Any) -> None:
    assert client.get("/docs").status_code == 404
    assert client.get("/redoc").status_code == 404
    described = client.get("/api/openapi.json").json()
    assert described["openapi"].startswith("3.")
    for path, methods in described["paths"].items():
        for method, known in methods.items():
            assert known.get("description"), (method, path)


def test_people_settings_and_backup(client: Any) -> None:
    made = client.post("/api/people", json={"name": "Ann", "role": "owner", "password": "three blue spanners"})
    assert made.status_code == 201
    assert "password" not in made.text
    assert client.put("/api/settings/country", json={"value": "GB"}).status_code == 204
    assert client.get("/api/settings").json() == {"country": "GB"}
    backup = client.post("/api/backups")
    assert backup.content.startswith(b"SQLite format 3\x00")
    assert b"three blue spanners" not in backup.content


LARGE = 2**21  # bytes


def backup_in_pieces(
    local: Site, build: int, monkeypatch: pytest.MonkeyPatch, *, taken: int
) -> tuple[Any, list[bytes], int]:
    """A backup asked for by somebody who goes away after some pieces: the answer, those pieces, and how many files lay there."""
    large = PNG + bytes(range(256)) * (LARGE // 256)
    assert local.caller().post("/api/cars/1/files", params={"name": "x.png"}, content=large).status_code == 201
    folder = local.folder.parent / "temporary"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    pieces: list[bytes] = []
    lay: list[int] = []

    async def noting(scope: Scope, receive: Receive, send: Send) -> None:
        async def noted(message: Message) -> None:
            if message["type"] == "http.response.body":
                if len(pieces) == taken:
                    raise OSError("the reader has gone")
                pieces.append(message["body"])
                lay.append(len([each for each in folder.rglob("*") if each.is_file()]))
            await send(message)

        with contextlib.suppress(OSError):
            await local.app(scope, receive, noted)

    client = TestClient(noting, local.origin, headers={"Origin": local.origin}, raise_server_exceptions=False)
    answer = client.post("/api/backups")
    assert list(folder.iterdir()) == [], "nothing is left behind"
    return answer, pieces, min(lay)


def test_a_backup_comes_in_pieces_from_the_disk(local: Site, build: int, monkeypatch: pytest.MonkeyPatch) -> None:
    answer, pieces, lay = backup_in_pieces(local, build, monkeypatch, taken=-1)
    assert lay == 1, "a file is sent"
    assert max(map(len, pieces)) <= 100_000, "and never held whole"
    assert b"".join(pieces) == answer.content
    assert int(answer.headers["content-length"]) == len(answer.content) > LARGE
    assert answer.headers["content-disposition"].startswith('attachment; filename="voltwright-20261127T093000Z.db"')
    assert answer.headers["content-type"] == "application/vnd.sqlite3"


def test_a_backup_whose_reader_goes_away_is_removed(local: Site, build: int, monkeypatch: pytest.MonkeyPatch) -> None:
    _, pieces, lay = backup_in_pieces(local, build, monkeypatch, taken=2)
    assert (len(pieces), lay) == (2, 1)


def test_a_backup_that_fails_leaves_nothing(
    local: Site, client: Any, build: int, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def full(*_: Any) -> None:
        raise FullError(Problem("the disk is full"))

    (tmp_path / "temporary").mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "temporary"))
    monkeypatch.setattr(type(local.shop._shared.records), "backup", full)
    assert client.post("/api/backups").status_code == 507
    assert list((tmp_path / "temporary").iterdir()) == []


def test_comparing_by_a_job(client: Any, build: int) -> None:
    client.patch(f"/api/builds/{build}", json={"since": 1, "changes": {"donor.mass_kerb": "1100 kg"}})
    asked = {"first": {"build": build, "edit": 1}, "others": [{"build": build}]}
    at_once = client.post("/api/compare", json=asked).json()
    job = client.post("/api/compare/jobs", json=asked).json()["id"]
    assert client.get(f"/api/jobs/{job}", params={"seconds": 20}).json()["state"] == "done"
    assert client.get(f"/api/jobs/{job}/comparison").json() == at_once
    assert "mass.kerb" in {each["key"] for each in at_once["others"][0]["moved"]}
    assert client.get(f"/api/jobs/{job}/papers").status_code == 409
    assert client.post("/api/compare", json=asked | {"others": []}).status_code == 404


def test_papers_by_a_job(client: Any, build: int) -> None:
    job = client.post(f"/api/builds/{build}/papers", json={"date": "27 November 2026"})
    assert job.status_code == 202
    address = f"/api/jobs/{job.json()['id']}"
    assert client.get(f"{address}/papers/design.pdf").json()["code"] in ("VW702",)
    state = ""
    for _ in range(10):
        state = client.get(address, params={"seconds": 20}).json()["state"]
        if state != "running" and state != "waiting":
            break
    assert state == "done"
    paper = client.get(f"{address}/papers/design.pdf")
    assert paper.content.startswith(b"%PDF-")
    assert paper.headers["content-disposition"].startswith("inline")
    assert client.get(f"{address}/papers/..%2Fdesign.pdf").status_code in (404, 409)
    assert client.get(f"{address}/places").status_code == 409


def test_a_body_too_large_is_refused_as_such(client: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """And not as one that cannot be read, which is what FastAPI makes of a body that breaks off."""
    monkeypatch.setattr(guard, "MOST_SENT", 1000)
    pieces = (b" " * 400 for _ in range(10))
    answer = client.post("/api/cars", content=pieces, headers={"Content-Type": "application/json"})
    assert (answer.status_code, answer.json()["code"]) == (413, "VW703")
