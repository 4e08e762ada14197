"""What all tests share: a marker from the folder, the same examples every time, and no network."""

import os
import socket
import sys
from collections.abc import Iterator
from ipaddress import ip_address
from pathlib import Path

import pytest
from hypothesis import settings

TESTS = Path(__file__).parent

# PyBaMM would otherwise report its use over the network.
os.environ["PYBAMM_DISABLE_TELEMETRY"] = "true"

# What is compiled for one test serves all, in this and in other processes.
os.environ.setdefault("VOLTWRIGHT_CACHE", str(TESTS.parent / ".kernels"))

# The day of every run, so that nothing turns with the clock: 27 November 2026.
os.environ["SOURCE_DATE_EPOCH"] = "1795737600"

# As it comes, every run draws the same examples; `pytest --hypothesis-profile=explore` draws new ones.
settings.register_profile("same", deadline=None, database=None, derandomize=True)
settings.register_profile("explore", deadline=None, database=None, derandomize=False, print_blob=True)
settings.load_profile("same")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark each test with the name of its folder; a folder that pyproject.toml does not list is an error."""
    known = {line.split(":")[0] for line in config.getini("markers")}
    for item in items:
        if not item.path.is_relative_to(TESTS):
            continue
        folder = item.path.relative_to(TESTS).parts[0]
        if folder not in known:
            raise pytest.UsageError(f"{item.path}: pyproject.toml lists no marker named {folder}")
        item.add_marker(folder)


LOOKUPS = {"socket.getaddrinfo", "socket.gethostbyname"}
CALLS = {"socket.connect", "socket.bind", "socket.sendto", "socket.sendmsg"}
_refused: list[str] = []


def _is_local(host: object) -> bool:
    name = host.decode() if isinstance(host, bytes) else host
    if name is None or name == "localhost":
        return True
    try:
        return ip_address(str(name)).is_loopback
    except ValueError:
        return False


def _refuse_network(event: str, args: tuple[object, ...]) -> None:
    """Audit hook: an error at the call, and a note for the fixture below in case the caller swallows the error."""
    if event in LOOKUPS:
        host = args[0]
    elif event in CALLS and getattr(args[0], "family", None) in (socket.AF_INET, socket.AF_INET6):
        host = args[1][0] if isinstance(args[1], tuple) else args[1]
    else:
        return
    if not _is_local(host):
        _refused.append(f"{event} {host!r}")
        raise PermissionError(f"tests use no network: {event} {host!r}")


sys.addaudithook(_refuse_network)


@pytest.fixture(autouse=True)
def no_network() -> Iterator[list[str]]:
    """Fail the test during which something reached beyond this machine, even where the error was swallowed."""
    _refused.clear()
    yield _refused
    if _refused:
        pytest.fail(f"tests use no network, but: {', '.join(_refused)}")
