"""Takes docs/img/page.png, the picture of a page in the README, from a server of its own with the example coupé."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

PICTURE = Path(__file__).parents[1] / "docs" / "img" / "page.png"


def main() -> None:
    with tempfile.TemporaryDirectory() as home:
        command = (sys.executable, "-u", "-m", "voltwright", "serve", "--port", "0")
        around = os.environ | {"VOLTWRIGHT_HOME": home}
        with subprocess.Popen(command, env=around, stdout=subprocess.PIPE, text=True) as server:  # noqa: S603 - our own program
            assert server.stdout is not None
            found = re.search(r"http://localhost:\d+", server.stdout.readline())
            assert found, "the server did not begin"
            try:
                take(found[0])
            finally:
                server.terminate()


def take(address: str) -> None:
    """The page of the weight, with everything worked out."""
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1280, "height": 960})
        page.request.post(f"{address}/api/examples/coupe", data={}, headers={"X-Voltwright": "picture"})
        page.goto(f"{address}/builds/1/pack")
        page.locator(".count").wait_for()
        page.locator(".waiting").first.wait_for(state="detached")
        page.wait_for_timeout(1000)
        page.screenshot(path=PICTURE)
        browser.close()


if __name__ == "__main__":
    main()
