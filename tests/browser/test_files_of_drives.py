"""A route is added on the page of the duty, named by a journey, and driven."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import expect

from browser_sight import Sight, fatal, open_build
from route_files import GOLDEN


def test_a_route_is_added_and_named(local: Sight, shot: Callable[..., None]) -> None:
    page = open_build(local, "/builds/1/duty", whole=False)
    field = page.get_by_label("Add a route or a speed trace (GPX, CSV)")
    field.set_input_files({"name": "notes.docx", "mimeType": "application/zip", "buffer": b"PK"})
    expect(page.locator(".own .told")).to_contain_text("of no type that is kept")
    field.set_input_files(GOLDEN)
    expect(page.locator(".own .told")).to_contain_text("hill.gpx is kept")
    expect(page.locator(".own .downloads")).to_contain_text("hill.gpx")
    assert not fatal(page)
    shot("files-of-drives")
    api = f"{local.address}/api/builds/1"
    since = page.request.get(api).json()["number"]
    changes = {"duty.trips.0.trip": None, "duty.trips.0.route": "hill.gpx", "duty.trips.0.speed": "70 km/h"}
    done = page.request.patch(api, data={"since": since, "changes": changes}, headers={"X-Voltwright": "test"})
    assert done.ok, done.text()
    name = "rounds"
    page = open_build(local, "/builds/1/road", whole=False)
    expect(page.locator("body")).to_contain_text(
        f"Charge left at the end of one drive from the highest used charge, '{name}'"
    )
    shot("a-route")
