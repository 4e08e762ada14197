"""A workshop behind its doors, without a network: whoever calls speaks to the application directly."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from starlette.testclient import TestClient

from staff import Clock
from voltwright.services.views import Actor
from voltwright.services.workshop import Workshop
from voltwright.web.app import guarded, make_app
from voltwright.web.doors import Doors
from voltwright.web.entrance import Entrance
from voltwright.web.guard import Guard
from voltwright.web.journal import Journal

PORT = 8420
PASSWORDS = {"Ann": "three blue spanners", "Ben": "torque in small steps", "Cat": "only looking around"}


@dataclass
class Seconds:
    """A clock for waits and sessions that moves only when a test moves it."""

    now: float = 1000.0

    def __call__(self) -> float:
        return self.now


@dataclass
class Site:
    """The doors of one workshop, and callers before them."""

    shop: Workshop
    folder: Path
    seconds: Seconds
    clock: Clock
    lan: bool = False
    tls: bool = False
    names: tuple[str, ...] = ()
    app: Guard = field(init=False)

    def __post_init__(self) -> None:
        self.journal = Journal(self.folder / "doors.log", self.clock)
        doors = Doors(PORT, self.lan, self.tls, self.names)
        self.entrance = Entrance(self.shop.door, doors, self.journal, self.seconds)
        self.app = guarded(make_app(self.shop, self.entrance), self.entrance, self.journal)

    @property
    def origin(self) -> str:
        return f"{'https' if self.tls else 'http'}://localhost:{PORT}"

    def caller(self, address: str = "192.0.2.7", **headers: str) -> TestClient:
        """Somebody's browser on a page of ours, from an address set aside for documentation."""
        sent = {"Origin": self.origin} | {name.replace("_", "-"): value for name, value in headers.items()}
        return TestClient(
            self.app,
            self.origin,
            headers=sent,
            follow_redirects=False,
            client=(address, 50000),
            raise_server_exceptions=False,
        )

    def signed_in(self, who: Actor) -> TestClient:
        client = self.caller()
        answer = client.post("/api/session", json={"name": who.name, "password": PASSWORDS[who.name]})
        assert answer.status_code == 200, answer.text
        return client

    def told(self) -> str:
        """What stands in the journal."""
        return (self.folder / "doors.log").read_text(encoding="ascii")


Make = Callable[..., Site]
