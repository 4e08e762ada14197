"""Two people on one build, each in a browser of their own: both are told, nothing is lost."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import Browser, Page, expect

from browser_sight import Sight, entry
from serving import Served

Shot = Callable[..., None]
DONOR, HEIGHT = "/builds/2/donor", "[data-path='donor.size.height']"


def opened(sight: Sight, path: str = DONOR) -> Page:
    sight.page.goto(f"{sight.address}{path}")
    sight.page.locator(".count").wait_for()
    return sight.page


@pytest.fixture
def ben(chromium: Browser, lan_site: Served) -> Iterator[Sight]:
    """A browser of his own, in another time zone."""
    made = chromium.new_context(timezone_id="America/New_York")
    made.set_default_timeout(90_000)
    sight = Sight(made.new_page(), lan_site.address)
    sight.sign_in("Ben")
    yield sight
    made.close()


def test_the_second_is_told_and_keeps_what_was_typed(lan: Sight, ben: Sight, shot: Shot) -> None:
    lan.sign_in("Ann")
    hers, his = opened(lan), opened(ben)
    assert his.title() == "Red roadster (Mrs Penhaligon): Donor - Voltwright"
    entry(his, "Wheelbase").press("Control+a")
    his.keyboard.type("2.5")
    entry(hers, "Kerb mass").fill("777 kg")
    entry(hers, "Kerb mass").press("Tab")
    told = his.locator(".newer")
    expect(told).to_contain_text("Ann changed: The car as it arrives › Kerb mass.")
    shot("told-of-another", his)
    assert entry(his, "Kerb mass").input_value() != "777 kg", "nothing moves until he wants it"
    told.get_by_role("button", name="Show it").click()
    expect(entry(his, "Kerb mass")).to_have_value("777 kg")
    expect(told).to_be_empty()
    expect(entry(his, "Wheelbase")).to_have_value("2.5")
    his.keyboard.type(" m")
    his.keyboard.press("Tab")
    his.locator("tr.moved").first.wait_for()
    expect(entry(his, "Wheelbase")).to_have_value("2.5 m")
    assert his.locator(".told .alert").count() == 0
    assert lan.complaints == ben.complaints == []


def test_who_saves_second_sees_both_and_loses_nothing(lan: Sight, ben: Sight, shot: Shot) -> None:
    lan.sign_in("Ann")
    pages = {"1.21 m": opened(lan), "1.22 m": opened(ben)}
    for typed, page in pages.items():
        page.locator(HEIGHT).fill(typed)
    for page in pages.values():
        page.locator(HEIGHT).press("Tab")
    second = _told_first(pages)
    told, typed = pages[second].locator(".told"), second
    expect(told).to_contain_text("Somebody else saved first")
    shot("saved-second", pages[second])
    differences = "\n".join(told.locator(".difference").all_inner_texts())
    assert set(re.findall(r"^\+ .*(1\.2[12] m)", differences, re.MULTILINE)) == {*pages}
    told.get_by_role("button", name="Save mine on top of it").click()
    expect(told).to_be_empty()
    expect(pages[second].locator(HEIGHT)).to_have_value(typed)


def test_what_one_types_where_another_saved_stays_and_goes_on_top(lan: Sight, ben: Sight) -> None:
    lan.sign_in("Ann")
    hers, his = opened(lan), opened(ben)
    his.locator(HEIGHT).press("Control+a")
    his.keyboard.type("1.31 m")
    hers.locator(HEIGHT).fill("1.32 m")
    hers.locator(HEIGHT).press("Tab")
    his.get_by_role("button", name="Show it").click()
    expect(his.locator(".newer")).to_be_empty()
    expect(his.locator(HEIGHT)).to_have_value("1.31 m")
    expect(his.locator(".wrong", has_text="while you typed it became 1.32 m")).to_be_visible()
    his.keyboard.type(" ± 1 cm")
    his.keyboard.press("Tab")
    expect(hers.locator(".newer")).to_contain_text("Ben changed")
    expect(his.locator(HEIGHT)).to_have_value("1.31 m ± 1 cm")
    assert his.locator(".told .alert").count() == 0


def test_what_was_told_stays_when_the_bands_come(lan: Sight, ben: Sight) -> None:
    lan.sign_in("Ann")
    head = {"X-Voltwright": "test"}
    made = lan.page.request.post(f"{lan.address}/api/examples/van", data={"name": "Awaited"}, headers=head).json()["id"]
    busy = list[int]()
    for number in range(12):
        each = lan.page.request.post(f"{lan.address}/api/examples/coupe", data={"name": f"Busy {number}"}, headers=head)
        busy.append(each.json()["id"])
        heavier = {"changes": {"donor.mass_kerb": f"{1020 + number} kg"}, "since": 1}
        assert lan.page.request.patch(f"{lan.address}/api/builds/{busy[-1]}", data=heavier, headers=head).ok
    for each in busy:  # so that the bands wait their turn
        asked = {"first": {"build": made}, "others": [{"build": each}], "bands": True}
        assert lan.page.request.post(f"{lan.address}/api/compare/jobs", data=asked, headers=head).ok
    hers = opened(lan, f"/builds/{made}/donor")
    changed = ben.page.request.patch(
        f"{ben.address}/api/builds/{made}", data={"changes": {"donor.mass_kerb": "1234 kg"}, "since": 1}, headers=head
    )
    assert changed.ok, changed.text()
    expect(hers.locator(".newer")).to_contain_text("Ben changed")
    hers.locator(".waiting").first.wait_for(state="detached")
    expect(hers.locator(".newer")).to_contain_text("Ben changed")


def _told_first(pages: dict[str, Page]) -> str:
    """What the one typed who saved second."""
    for _ in range(300):
        for typed, page in pages.items():
            if page.locator(".told .alert").count():
                return typed
            page.wait_for_timeout(100)
    raise AssertionError("nobody was told")


def test_a_text_that_is_being_written_stays_and_is_not_saved_over_another(lan: Sight, ben: Sight) -> None:
    lan.sign_in("Ann")
    hers, his = opened(lan), opened(ben, "/builds/2/text")
    area = his.get_by_label("Text of the build file")
    expect(area).to_have_value(re.compile("voltwright: 1"))
    area.press("Control+Home")
    his.keyboard.type("# of Ben")
    hers.locator(HEIGHT).fill("1.23 m")
    hers.locator(HEIGHT).press("Tab")
    his.get_by_role("button", name="Show it").click()
    expect(his.locator(".newer")).to_be_empty()
    expect(area).to_have_value(re.compile("^# of Ben"))
    his.get_by_role("button", name="Save", exact=True).click()
    expect(his.locator(".told .alert")).to_contain_text("Somebody else saved first")
    expect(area).to_have_value(re.compile("^# of Ben"))
    expect(his.locator(".told .difference").first).to_contain_text("1.23 m")


def test_a_time_is_that_of_the_readers_clock(lan: Sight, ben: Sight) -> None:
    his = opened(ben, "/builds/2/revisions")
    first = his.locator("td time").last
    assert first.get_attribute("title") == "27 Nov 2026 09:30 UTC"
    assert first.inner_text() == "27 Nov 2026, 04:30"
    assert ZoneInfo("America/New_York").key == his.evaluate("Intl.DateTimeFormat().resolvedOptions().timeZone")
