"""`voltwright serve` and `voltwright people`, as somebody types them."""

from __future__ import annotations

import io
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Callable
from ipaddress import ip_address
from pathlib import Path

import httpx2
import pytest

from at_the_door import PASSWORDS
from helpers import Ended, runner
from serving import served

PASSWORD = PASSWORDS["Ann"]


Run = Callable[..., Ended]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "home"


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Commands that end by themselves; `typed` comes over the standard input."""
    command = runner(capsys, tmp_path, monkeypatch)

    def typed_in(*words: str, typed: str = "") -> Ended:
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        return command(*words)

    return typed_in


def until_it_answers(address: str, **options: object) -> httpx2.Response:
    """What stands in front of it; the port is open before the pages are."""
    for _ in range(300):
        try:
            return httpx2.get(f"{address}/api/session", **options)  # pyright: ignore[reportArgumentType]
        except httpx2.TransportError:
            time.sleep(0.1)
    raise AssertionError("no answer within 30 s")


def test_this_computer_alone_and_without_a_password(home: Path) -> None:
    with served(home) as site:
        assert until_it_answers(site.address).json() == {"name": "this computer", "role": "owner"}
        assert "for whoever uses this computer" in site.said
        port = int(site.address.rpartition(":")[2])
        assert _listens_at(port) == {"127.0.0.1"}, "and nothing else, of neither family"
        rebound = httpx2.get(f"{site.address}/", headers={"Host": f"rebound.example:{port}"})
        assert rebound.status_code == 403
        assert "server" not in rebound.headers


def _listens_at(port: int) -> set[str]:
    """Addresses of this computer at which anybody listens at a port, from the tables of Linux for both families."""
    tables = (Path("/proc/net/tcp"), Path("/proc/net/tcp6"))
    return {each for table in tables if table.exists() for each in _listening(table.read_text("ascii"), port)}


def _listening(table: str, port: int) -> set[str]:
    found: set[str] = set()
    for line in table.splitlines()[1:]:
        _, local, _, state, *_ = line.split()
        address, at = local.split(":")
        if (int(at, 16), state) == (port, "0A"):
            words = [bytes.fromhex(address[each : each + 8])[::-1] for each in range(0, len(address), 8)]
            found.add(str(ip_address(b"".join(words))))  # each word with its lowest byte first
    return found


def test_what_listens_is_seen_in_both_families() -> None:
    """Otherwise the test above could not fail."""
    head, rest = "sl local_address rem_address st\n", " 00000000:00000000"
    at_all, at_one = "0" * 32, "0" * 24 + "01000000"
    rows = (f"0: 0100007F:20E4 00000000:0000 0A{rest}", f"1: {at_one}:20E4 {at_all}:0000 0A{rest}",
            f"2: {at_all}:20E4 {at_all}:0000 0A{rest}", f"3: 00000000:20E5 00000000:0000 0A{rest}",
            f"4: 0200007F:20E4 0100007F:9999 01{rest}")  # fmt: skip
    assert _listening(head + "\n".join(rows), 0x20E4) == {"127.0.0.1", "::1", "::"}
    with socket.create_server(("127.0.0.1", 0)) as first:
        assert _listens_at(first.getsockname()[1]) == {"127.0.0.1"}


def test_the_network_needs_an_owner_first(run: Run, home: Path) -> None:
    refused = run("serve", "--lan", "--port", "0")
    assert refused.code == 2
    assert "VW705" in refused.err
    assert "voltwright people add NAME --role owner" in refused.err
    assert run("people", "add", "Ben", "--role", "technician", typed=f"{PASSWORD}\n").code == 0
    assert run("serve", "--lan", "--port", "0").code == 2, "a technician is no owner"
    made = run("people", "add", "Ann", "--role", "owner", typed=f"{PASSWORD}\n")
    assert (made.code, made.out) == (0, "Ann may sign in as owner.\n")
    with served(home, "--lan", "--name", "workshop.local") as site:
        assert "workshop.local" in site.said
        assert site.process.stdout is not None
        assert "WARNING: without --certificate" in site.process.stdout.readline()
        assert until_it_answers(site.address).status_code == 401
        sign_in = {"name": "Ann", "password": PASSWORD}
        with httpx2.Client(base_url=site.address, headers={"X-Voltwright": "program"}) as client:
            assert client.post("/api/session", json=sign_in).json() == {"name": "Ann", "role": "owner"}
            assert client.get("/api/cars").json() == []


def test_a_new_password_on_the_command_line_ends_sessions_while_it_serves(run: Run, home: Path) -> None:
    for name in ("Ann", "Ben"):
        run("people", "add", name, "--role", "owner", typed=f"{PASSWORD}\n")
    with served(home, "--lan", "--name", "workshop.local") as site:
        until_it_answers(site.address)
        clients = {name: httpx2.Client(base_url=site.address, headers={"X-Voltwright": "1"}) for name in ("Ann", "Ben")}
        for name, client in clients.items():
            assert client.post("/api/session", json={"name": name, "password": PASSWORD}).status_code == 200
            assert client.get("/api/cars").status_code == 200
        told = run("people", "password", "Ann", typed="four green spanners\n")
        assert (told.code, told.out) == (0, "Ann has a new password. Whoever was signed in by that name is out.\n")
        assert {name: client.get("/api/cars").status_code for name, client in clients.items()} == {
            "Ann": 401,
            "Ben": 200,
        }
        new = {"name": "Ann", "password": "four green spanners"}
        assert clients["Ann"].post("/api/session", json=new).status_code == 200
        assert clients["Ann"].get("/api/cars").status_code == 200
        for client in clients.values():
            client.close()


@pytest.fixture
def certificate(tmp_path: Path) -> tuple[Path, Path]:
    made = tmp_path / "certificate.pem", tmp_path / "key.pem"
    words = ("-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2")
    named = ("-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost")
    subprocess.run(
        ("openssl", "req", *words, *named, "-out", made[0], "-keyout", made[1]), check=True, capture_output=True
    )
    return made


def test_tls(run: Run, home: Path, certificate: tuple[Path, Path]) -> None:
    run("people", "add", "Ann", "--role", "owner", typed=f"{PASSWORD}\n")
    cert, key = certificate
    with served(home, "--lan", "--certificate", str(cert), "--key", str(key)) as site:
        assert site.address.startswith("https://")
        trusted = ssl.create_default_context(cafile=str(cert))
        assert until_it_answers(site.address, verify=trusted).status_code == 401
        sign_in = {"name": "Ann", "password": PASSWORD}
        answer = httpx2.post(f"{site.address}/api/session", json=sign_in, headers={"X-Voltwright": "1"}, verify=trusted)
        assert answer.headers["set-cookie"].startswith("__Host-voltwright=")
        assert "Secure" in answer.headers["set-cookie"]


def test_what_cannot_be_served_is_said(run: Run, certificate: tuple[Path, Path], tmp_path: Path) -> None:
    cert, key = certificate
    with socket.create_server(("127.0.0.1", 0)) as taken:
        told = run("serve", "--port", str(taken.getsockname()[1]))
    assert (told.code, "cannot be used: something listens there already" in told.err) == (2, True)
    assert "name both" in run("serve", "--certificate", str(cert)).err
    assert "VW705" in run("serve", "--certificate", str(key), "--key", str(cert)).err
    assert "VW705" in run("serve", "--certificate", str(tmp_path / "none"), "--key", str(key)).err


def test_people_come_and_go(run: Run) -> None:
    assert run("people", "list").out == "Nobody is entered yet.\n"
    short = run("people", "add", "Ann", "--role", "owner", typed="short\n")
    assert (short.code, "VW609" in short.err) == (2, True)
    run("people", "add", "Ann", "--role", "owner", typed=f"{PASSWORD}\n")
    run("people", "add", "Cat", "--role", "viewer", typed=f"{PASSWORD}\n")
    assert run("people", "change", "Ann", "--left").code == 2, "an owner is always left"
    assert "Cat is technician." in run("people", "change", "Cat", "--role", "technician").out
    assert "cannot sign in" in run("people", "change", "Cat", "--left").out
    assert run("people", "password", "Cat", typed="a longer password\n").code == 0
    assert "Ann, Cat" in run("people", "password", "Dan", typed="a longer password\n").err
    listed = run("people", "list").out.splitlines()
    assert [line.split(maxsplit=1) for line in listed] == [["Ann", "owner"], ["Cat", "technician, left"]]


def test_a_password_is_no_argument(run: Run) -> None:
    told = run("people", "add", "--help").out
    assert "--password" not in told
    assert run("people", "add", "Ann", PASSWORD, "--role", "owner").code == 2
