"""A page in a real browser, with all that it did beside being shown."""

from __future__ import annotations

from dataclasses import dataclass, field

from playwright.sync_api import Page

from at_the_door import PASSWORDS

REBOUND = "rebound.example"  # a name of somebody else that leads to this computer


@dataclass
class Sight:
    """A page in a browser of its own, and all that it did beside being shown."""

    page: Page
    address: str
    elsewhere: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        def asked(url: str) -> None:
            if not url.startswith((self.address, "data:", "blob:", self.address.replace("http", "ws", 1))):
                self.elsewhere.append(url)

        self.page.on("request", lambda request: asked(request.url))
        self.page.on("websocket", lambda socket: asked(socket.url))
        self.page.on("console", lambda said: self.complaints.append(said.text) if said.type == "error" else None)
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def sign_in(self, name: str) -> None:
        self.page.goto(f"{self.address}/sign-in")
        self.page.get_by_label("Name").fill(name)
        self.page.get_by_label("Password").fill(PASSWORDS[name])
        self.page.get_by_role("button", name="Sign in").click()
        self.page.get_by_role("heading", name="Cars").wait_for()
