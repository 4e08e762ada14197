"""Full disk, locked database, folder that may not be written, newer records, clock set back: as a person at the pages meets them.

SQLite's own limit of pages stands in for the full disk: it gives the same code.
"""

from __future__ import annotations

import importlib
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event

from at_the_door import Site
from helpers import nobody, runner
from voltwright.records.records import Records

QUICK = {"bands": False, "search": False}
pytestmark = pytest.mark.usefixtures("nothing_unexpected")


@contextmanager
def each_connection(site: Site, pragma: str) -> Iterator[None]:
    """A setting of SQLite on every connection inside the block."""
    engine = site.shop._shared.records.store.engine

    def prepare(connection: sqlite3.Connection, _: object) -> None:
        connection.execute(f"PRAGMA {pragma}")

    engine.dispose()
    event.listen(engine, "connect", prepare)
    try:
        yield
    finally:
        event.remove(engine, "connect", prepare)
        engine.dispose()


def edit(client: Any, build: int, since: int, title: str) -> Any:
    return client.patch(f"/api/builds/{build}", json={"since": since, "changes": {"title": title}})


def must_tell(answer: Any, status: int, code: str, what: str, mend: str) -> None:
    """The status, and an error of the house that says what, what is allowed and how to mend it."""
    assert answer.status_code == status, answer.text
    told = answer.json()
    (problem,) = told["problems"]
    assert (told["code"], bool(told["title"]), bool(problem["allowed"])) == (code, True, True)
    assert what in problem["what"]
    assert mend in problem["mend"]
    assert "Traceback" not in answer.text


def numbers(client: Any, build: int) -> list[int]:
    return [each["number"] for each in client.get(f"/api/builds/{build}/log").json()]


def test_full_disk(local: Site, client: Any, build: int) -> None:
    text = client.get(f"/api/builds/{build}").json()["text"]

    def write(since: int) -> Any:
        body = {"since": since, "text": text + "".join(f"# {since} {each} {'x' * 60}\n" for each in range(300))}
        return client.put(f"/api/builds/{build}/text", json=body)

    with each_connection(local, "max_page_count = 90"):
        answer, saved = write(1), 1
        while answer.status_code == 200 and saved < 40:
            saved = answer.json()["number"]
            answer = write(saved)
        must_tell(answer, 507, "VW604", "the disk is full", "make room and save again")
        assert client.get(f"/api/builds/{build}").json()["number"] == saved > 1, "who reads is served"
    assert numbers(client, build) == list(range(1, saved + 1))
    assert write(saved).json()["number"] == saved + 1


def test_locked_database(local: Site, client: Any, build: int) -> None:
    file = local.shop._shared.records.store.file
    assert file is not None
    with each_connection(local, "busy_timeout = 100"):
        holder = sqlite3.connect(file, isolation_level=None)
        holder.execute("BEGIN IMMEDIATE")
        must_tell(edit(client, build, 1, "Locked"), 503, "VW605", "locked for too long", "wait and save again")
        assert client.get(f"/api/builds/{build}").json()["number"] == 1, "who reads is served"
        assert client.get(f"/api/builds/{build}/dossier", params=QUICK).status_code == 200
        holder.execute("ROLLBACK")
        holder.close()
        assert edit(client, build, 1, "Free").json()["number"] == 2


def test_folder_that_may_not_be_written(local: Site, client: Any, build: int, tmp_path: Path) -> None:
    shared = local.shop._shared
    own = shared.records
    edit(client, build, 1, "Before")  # loads all modules before rights are dropped
    own.backup(tmp_path / "copy.db")
    copy = (tmp_path / "copy.db").read_bytes()
    with nobody() as folder:
        kept = folder / "records.db"
        kept.write_bytes(copy)
        with Records.open(folder) as shared.records:
            shared.records.store.close()
            read_only(folder)
            before = kept.read_bytes()
            must_tell(
                edit(client, build, 2, "Refused"), 503, "VW603", "may not be written", "let the folder be written to"
            )
            assert kept.read_bytes() == before
            shared.records.store.close()
            folder.chmod(0o700)
            kept.chmod(0o600)
            assert edit(client, build, 2, "After").json()["number"] == 3
    shared.records = own


def test_clock_set_back(local: Site, client: Any, build: int) -> None:
    assert edit(client, build, 1, "First").status_code == 200
    local.clock.move(-timedelta(days=400))
    assert edit(client, build, 2, "Second").json()["number"] == 3
    assert edit(client, build, 2, "From an older one").status_code == 409, "numbers decide and not times"
    assert client.post(f"/api/builds/{build}/undo", json={"since": 3}).json()["number"] == 4
    log = client.get(f"/api/builds/{build}/log").json()
    assert [each["number"] for each in log] == [1, 2, 3, 4]
    assert log[2]["at"] < log[1]["at"]
    assert "title: First\n" in client.get(f"/api/builds/{build}").json()["text"]
    assert client.get("/api/cars").json()[0]["name"] == "Blue coupé"
    assert client.get(f"/api/builds/{build}/dossier", params=QUICK).status_code == 200
    named = client.post(f"/api/builds/{build}/revisions", json={"since": 4, "name": "quote"})
    assert named.status_code == 201, named.text
    assert client.get("/api/jobs").status_code == 200


def newer(folder: Path) -> None:
    with sqlite3.connect(folder / "records.db") as database:
        database.execute("UPDATE alembic_version SET version_num = '9999'")
    database.close()


def read_only(folder: Path) -> None:
    (folder / "records.db").chmod(0o400)
    folder.chmod(0o500)


@pytest.mark.parametrize(
    ("spoil", "code", "says"),
    [(newer, "VW602", "use the newer Voltwright; nothing in them was touched"),
     (read_only, "VW603", "let the folder be written to, or name another in VOLTWRIGHT_HOME")],
)  # fmt: skip
@pytest.mark.parametrize(
    "words", [("serve", "--port", "0"), ("records", "list"), ("people", "list"), ("backup", "out.db")]
)
def test_what_cannot_be_opened_is_not_served(
    words: tuple[str, ...],
    spoil: Callable[[Path], None],
    code: str,
    says: str,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    run = runner(capsys, tmp_path, monkeypatch)
    importlib.import_module("voltwright.web.serve")  # all modules are loaded before rights are dropped
    assert run(*(("people", "list") if words[0] == "serve" else words)).code == 0
    with nobody() as folder:
        monkeypatch.setenv("VOLTWRIGHT_HOME", str(folder))
        assert run("people", "list").code == 0
        spoil(folder)
        before = (folder / "records.db").read_bytes()
        told = run(*words)
        assert (told.code, told.out) == (2, ""), told
        assert told.err.startswith(code)
        assert says in " ".join(told.err.split())
        folder.chmod(0o700)
        assert (folder / "records.db").read_bytes() == before
        assert not (folder / "errors.log").exists()
