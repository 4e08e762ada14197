"""What somebody sends who means harm, or a program that has gone wrong: refused in the form of the house, and nothing is changed.

Names of files, cells of spreadsheets and host names have tests of their own beside this one.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from at_the_door import Site
from voltwright.quantity import yaml_text
from voltwright.records.checks import DEEPEST

INSIDE = "only for this computer"


pytestmark = pytest.mark.usefixtures("nothing_unexpected")


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


READ = (yaml_text.DEEPEST + 1, DEEPEST + 1, 300, 900)  # levels that come through the reader of JSON
NOT_READ = (3_000, 100_000)
BRACKETS = {"lists": ("[", "]"), "mappings": ('{"a":', "}")}
DEEP_CHANGES = '{"since": 1, "changes": {"%s": %s}}'


def nested(brackets: tuple[str, str], levels: int) -> str:
    opens, closes = brackets
    return opens * levels + "1" + closes * levels


@pytest.mark.parametrize("levels", READ)
@pytest.mark.parametrize("brackets", BRACKETS.values(), ids=BRACKETS)
def test_deep_values(client: Any, build: int, levels: int, brackets: tuple[str, str]) -> None:
    deep = nested(brackets, levels)
    for path in ("title", "donor", "variants.more.changes"):
        answer = client.patch(f"/api/builds/{build}", content=DEEP_CHANGES % (path, deep), headers=JSON)
        must_refuse(client, build, answer, "VW202", f"nested more than {yaml_text.DEEPEST} deep")
    answer = client.put("/api/settings/x", content=f'{{"value": {deep}}}', headers=JSON)
    if levels > DEEPEST:
        assert answer.status_code == 422
        assert "nested too deep" in answer.json()["problems"][0]["what"]
    else:
        assert client.get("/api/settings").json() == {"x": json.loads(deep)}
    for method, address in (("PUT", "/api/parts"), ("POST", "/api/cars")):
        assert client.request(method, address, content=deep, headers=JSON).status_code == 422


@pytest.mark.parametrize("levels", NOT_READ)
@pytest.mark.parametrize("brackets", BRACKETS.values(), ids=BRACKETS)
def test_values_too_deep_to_be_read(client: Any, build: int, levels: int, brackets: tuple[str, str]) -> None:
    deep = nested(brackets, levels)
    answer = client.patch(f"/api/builds/{build}", content=DEEP_CHANGES % ("title", deep), headers=JSON)
    must_refuse(client, build, answer, "VW703", "parsing the body")
    for method, address, body in (("PUT", "/api/parts", deep), ("POST", "/api/cars", deep),
                                  ("PUT", "/api/settings/x", f'{{"value": {deep}}}')):  # fmt: skip
        answer = client.request(method, address, content=body, headers=JSON)
        assert (answer.status_code, answer.json()["code"]) == (422, "VW703")
    assert client.get("/api/settings").json() == {}


def in_lines(levels: int) -> str:
    return "\n" + "".join(f"{'  ' * level}a:\n" for level in range(1, levels)) + f"{'  ' * levels}a: 1"


@pytest.mark.parametrize("write", [lambda n: "[" * n + "1" + "]" * n, lambda n: "{a: " * n + "1" + "}" * n, in_lines],
                         ids=["lists", "mappings", "lines"])  # fmt: skip
def test_deep_build_files(client: Any, build: int, write: Callable[[int], str]) -> None:
    """The last level that is read, and the first that is not; the document itself is one level."""
    first = yaml_text.DEEPEST - 1
    for levels in (first, first + 1, 100):
        body = {"since": 1, "text": f"voltwright: 1\ntitle: {write(levels)}\n"}
        answer = client.put(f"/api/builds/{build}/text", json=body)
        must_refuse(client, build, answer, "VW202", f"nested more than {yaml_text.DEEPEST} deep")
    body["text"] = f"voltwright: 1\ntitle: {write(first - 1)}\n"
    answer = client.put(f"/api/builds/{build}/text", json=body)
    must_refuse(client, build, answer, "VW202", "")
    assert "nested" not in answer.text, "it was read, and is wrong for another reason"


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
