"""The guards that tests/conftest.py puts around every test."""

import contextlib
import socket

import pytest

ELSEWHERE = "192.0.2.1"  # set aside for documentation, RFC 5737


def test_connecting_elsewhere_is_refused(no_network: list[str]) -> None:
    with pytest.raises(PermissionError, match="no network"):
        socket.create_connection((ELSEWHERE, 9), timeout=1)
    assert no_network
    no_network.clear()


def test_looking_up_a_name_is_refused(no_network: list[str]) -> None:
    with pytest.raises(PermissionError, match="no network"):
        socket.getaddrinfo("example.invalid", 80)
    no_network.clear()


def test_a_swallowed_refusal_is_remembered(no_network: list[str]) -> None:
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as letter:
        letter.sendto(b"x", (ELSEWHERE, 9))
    assert no_network == [f"socket.sendto '{ELSEWHERE}'"]
    no_network.clear()


def test_loopback_is_allowed(no_network: list[str]) -> None:
    with (
        socket.create_server(("127.0.0.1", 0)) as server,
        socket.create_connection(server.getsockname(), timeout=5) as caller,
    ):
        assert caller.getpeername() == server.getsockname()
    assert no_network == []


def test_marker_follows_the_folder(request: pytest.FixtureRequest) -> None:
    assert request.node.get_closest_marker("house") is not None
    assert request.node.get_closest_marker("unit") is None
