"""A page in a real browser, with all that it did beside being shown."""

from __future__ import annotations

from dataclasses import dataclass, field

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Locator, Page

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


def open_build(sight: Sight, path: str = "/builds/1/findings", *, whole: bool = True) -> Page:
    """A page of a build once it is drawn; `whole`: with bands and remedies."""
    page = sight.page
    page.goto(f"{sight.address}{path}")
    page.locator(".count").wait_for()
    if whole:
        page.locator(".waiting").first.wait_for(state="detached")
    return page


def fatal(page: Page) -> list[str]:
    """What keeps people out who see, hear or move otherwise (axe-core), with the place."""
    found = Axe().run(page).response["violations"]
    return [f"{each['id']}: {node['html'][:120]}" for each in found for node in each["nodes"]]


def entry(page: Page, label: str) -> Locator:
    """An entry of the form by its label."""
    return page.locator(".written").get_by_label(label, exact=True)
