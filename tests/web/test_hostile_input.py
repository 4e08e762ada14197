"""What somebody sends who means harm, or a program that has gone wrong: refused in the form of the house, and nothing is changed.

Names of files, cells of spreadsheets and host names have tests of their own beside this one.
"""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from at_the_door import Site

INSIDE = "only for this computer"


@pytest.fixture
def client(local: Site) -> Any:
    return local.caller()


@pytest.fixture
def build(client: Any) -> int:
    return client.post("/api/examples/coupe", json={"name": "Blue coupé"}).json()["id"]


@pytest.fixture(autouse=True)
def nothing_unexpected(tmp_path: Path) -> Iterator[None]:
    """Nothing of this is an error that nobody expected."""
    yield
    assert not (tmp_path / "home" / "errors.log").exists()


def text_of(client: Any, build: int) -> str:
    return client.get(f"/api/builds/{build}").json()["text"]


def must_refuse(client: Any, build: int, answer: Any, code: str, says: str) -> None:
    """Told with a way to mend it, within seconds, and the draft is as it was."""
    assert answer.status_code == 422, answer.text
    told = answer.json()
    assert told["code"] == code, told
    assert says in " ".join(each["what"] for each in told["problems"])
    assert all(each["mend"] for each in told["problems"])
    assert [each["number"] for each in client.get(f"/api/builds/{build}/log").json()] == [1]


DEEP = (30, 300, 700, 900, 3_000, 100_000)


@pytest.mark.parametrize("levels", DEEP)
@pytest.mark.parametrize(("opens", "closes"), [("[", "]"), ('{"a":', "}")])
def test_deep_values(client: Any, build: int, levels: int, opens: str, closes: str) -> None:
    deep = opens * levels + "1" + closes * levels
    changes = '{"since": 1, "changes": {"%s": %s}}'
    for path in ("title", "donor", "variants.more.changes"):
        answer = client.patch(f"/api/builds/{build}", content=changes % (path, deep), headers=JSON)
        assert answer.json()["code"] in ("VW202", "VW703")
        must_refuse(client, build, answer, answer.json()["code"], "")
    for method, address, body in (("PUT", "/api/parts", deep), ("POST", "/api/cars", deep),
                                  ("PUT", "/api/settings/x", f'{{"value": {deep}}}')):  # fmt: skip
        answer = client.request(method, address, content=body, headers=JSON)
        assert answer.status_code in (204, 422), answer.text
    assert client.get("/api/settings").status_code == 200


JSON = {"Content-Type": "application/json"}
_BOMB = "voltwright: 1\na: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{name}: &{name} [{', '.join([f'*{before}'] * 9)}]\n" for before, name in zip("abcd", "bcde", strict=True)
)
TEXTS = {
    "aliases that grow": (_BOMB, "alias or anchor"),
    "an alias of itself": ("voltwright: 1\ntitle: &x [*x]\n", "alias or anchor"),
    "a tag that makes an object": ("voltwright: 1\ntitle: !!python/object/apply:os.system ['id']\n", "a tag"),
    "a merge of another mapping": ("voltwright: 1\n<<: {title: x}\n", "<<"),
    "a directive": ("%YAML 1.1\n---\nvoltwright: 1\n", "directive"),
    "two documents": ("voltwright: 1\n---\nvoltwright: 1\n", "document"),
    "deep brackets": ("voltwright: 1\ntitle: " + "[" * 1_500 + "\n", "nested"),
    "a megabyte": ("voltwright: 1\n" + "# 0123456789\n" * 80_000, "characters"),
    "a terminal's commands": ("voltwright: 1\ntitle: \x1b[2J\n", "control character"),
    "text that turns round": ("voltwright: 1\ntitle: \u2028x\n", "control character"),
}


@pytest.mark.parametrize(("text", "says"), TEXTS.values(), ids=TEXTS)
def test_hostile_build_files(client: Any, build: int, text: str, says: str) -> None:
    begun = time.process_time()
    answer = client.put(f"/api/builds/{build}/text", json={"since": 1, "text": text})
    must_refuse(client, build, answer, "VW202", says)
    answer = client.post("/api/cars/1/builds", json={"name": "another", "text": text})
    assert (answer.status_code, answer.json()["code"]) == (422, "VW202")
    assert time.process_time() - begun < 10


def test_more_than_is_taken(client: Any, build: int) -> None:
    body = json.dumps({"since": 1, "text": "x" * 3_000_000})
    answer = client.put(f"/api/builds/{build}/text", content=body, headers=JSON)
    assert (answer.status_code, answer.json()["code"]) == (413, "VW703")
    assert client.get(f"/api/builds/{build}").json()["number"] == 1


@pytest.mark.parametrize(
    "name",
    ["../secret.csv", "../../home/secret.csv", "/etc/hostname", "..\\secret.csv", "~/secret.csv", "logs/../../secret.csv",
     "file:/etc/hostname", "records.db"],
)  # fmt: skip
def test_a_build_names_files_of_its_car_alone(local: Site, client: Any, build: int, name: str) -> None:
    (local.folder.parent / "secret.csv").write_text(INSIDE)
    text = text_of(client, build)
    trips = text.index("  trips:\n") + len("  trips:\n")
    item = f"    - {{name: x, trace: {json.dumps(name)}, share: 0.1}}\n"
    answer = client.put(f"/api/builds/{build}/text", json={"since": 1, "text": text[:trips] + item + text[trips:]})
    must_refuse(client, build, answer, "VW202", "")
    assert any("trace" in each["where"] for each in answer.json()["problems"]), answer.text
    assert INSIDE not in answer.text


CLIMBS = ("..%2F..%2Frecords.db", "%2e%2e%2frecords.db", "..%5Crecords.db", "%2Fetc%2Fhostname", "..%252Frecords.db",
          "....//records.db", "records.db%00.csv", "%c0%ae%c0%ae%2frecords.db")  # fmt: skip


@pytest.mark.parametrize("name", CLIMBS)
def test_downloads_lead_nowhere_else(client: Any, build: int, name: str) -> None:
    for address in (f"/api/builds/{build}/tables/{name}", f"/api/jobs/{name}/papers/{name}", f"/api/cars/1/files/{name}",
                    f"/api/examples/{name}", f"/api/parts/fuse/{name}", f"/static/{name}", f"/{name}"):  # fmt: skip
        for answer in (client.get(address), client.post(address, json={})):
            assert 400 <= answer.status_code < 500, (address, answer.status_code)
            assert b"SQLite format" not in answer.content
            assert answer.headers["content-type"] == "application/json"


LINES = "Ann\r\n2026-11-27 owner signed in\u2028\u0085 reference 00000000\x1b[2K"


def test_no_text_begins_a_line_in_a_log(lan: Site, tmp_path: Path) -> None:
    client = lan.caller()
    assert client.post("/api/session", json={"name": LINES, "password": LINES}).status_code == 401
    (line,) = lan.told().splitlines()
    assert json.loads(line)["what"] == "wrong name or password"
    assert "\x1b" not in line
