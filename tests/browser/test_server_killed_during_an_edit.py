"""The server dies while somebody types, and begins again: what was saved is there, what was typed is still to be saved."""

from __future__ import annotations

import signal
from pathlib import Path

from playwright.sync_api import Browser, Page, expect

from serving import served
from staff import ANN
from voltwright.records.records import Records
from voltwright.services.workshop import Workshop

MASS, BASE = 'input[data-path="donor.mass_kerb"]', 'input[data-path="donor.size.wheelbase"]'


def begun(home: Path) -> int:
    with Workshop(Records.open(home)) as shop:
        return shop.builds.start_example(ANN, "coupe", car_name="Blue coupé").id


def opened(page: Page) -> None:
    page.locator(".count").wait_for()
    page.locator(MASS).wait_for()


def test_what_was_typed_when_the_server_died_is_saved_when_it_is_back(tmp_path: Path, chromium: Browser) -> None:
    build = begun(tmp_path)
    page = chromium.new_page()
    page.set_default_timeout(90_000)
    with served(tmp_path, ends=-signal.SIGKILL) as site:
        page.goto(f"{site.address}/builds/{build}/donor")
        opened(page)
        page.locator(MASS).fill("1001 kg")
        page.locator(MASS).press("Enter")
        page.get_by_text("Edit 2,").first.wait_for()
        page.locator(BASE).fill("2.41 m")
        site.process.send_signal(signal.SIGKILL)
        site.process.wait()
        page.locator(BASE).press("Tab")
        port = site.address.rsplit(":", 1)[1]
        page.get_by_text("The connection to Voltwright is lost.").wait_for()
        assert page.locator(BASE).input_value() == "2.41 m", "what was typed stands while nobody answers"
    with served(tmp_path, "--port", port) as site:
        opened(page)
        expect(page.locator(MASS)).to_have_value("1001 kg")
        expect(page.locator(BASE)).to_have_value("2.41 m")
        page.get_by_text("Edit 3,").first.wait_for()
        text = page.request.get(f"{site.address}/api/builds/{build}/build.yaml").text()
        assert "mass_kerb: 1001 kg" in text, "and no longer measured"
        assert "wheelbase: 2.41 m" in text
        assert len(page.request.get(f"{site.address}/api/builds/{build}/log").json()) == 3, "each edit once"
        page.close()
