"""What was typed and not yet saved, after a reload."""

from __future__ import annotations

import re

from playwright.sync_api import expect

from browser_sight import Sight, open_build

RANGE, SPEED = 'input[data-path="brief.range"]', 'input[data-path="brief.top_speed"]'


def test_it_is_handed_in_again(local: Sight) -> None:
    page = open_build(local, "/builds/1/brief", whole=False)
    api = f"{local.address}/api/builds/1"
    number = page.request.get(api).json()["number"]
    page.locator(RANGE).fill("155 km")
    page.reload()
    page.get_by_text(re.compile(f"^Edit {number + 1},")).wait_for()
    expect(page.locator(RANGE)).to_have_value("155 km")
    assert "range: 155 km" in page.request.get(f"{api}/build.yaml").text()
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(RANGE)).to_have_value("160 km")


def test_it_does_not_overwrite_what_somebody_else_saved_meanwhile(local: Sight) -> None:
    page = open_build(local, "/builds/1/brief", whole=False)
    page.locator(SPEED).fill("151 km/h")
    api = f"{local.address}/api/builds/1"
    since = page.request.get(api).json()["number"]
    change = {"since": since, "changes": {"brief.top_speed": "145 km/h"}}
    assert page.request.patch(api, data=change, headers={"X-Voltwright": "test"}).ok
    page.reload()
    wrong = page.locator(".field", has=page.locator(SPEED)).locator(".wrong")
    expect(wrong).to_contain_text("while you typed it became 145 km/h")
    assert page.locator(SPEED).input_value() == "151 km/h", "what was typed is not lost"
    assert page.request.get(api).json()["number"] == since + 1
    page.locator(SPEED).focus()
    page.locator(SPEED).fill("152 km/h")
    page.locator(SPEED).press("Enter")
    expect(wrong).to_be_empty()
    assert "top_speed: 152 km/h" in page.request.get(f"{api}/build.yaml").text()
