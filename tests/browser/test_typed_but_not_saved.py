"""What was typed and not yet saved, after a reload."""

from __future__ import annotations

import re

from playwright.sync_api import Locator, Page, expect

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
    page.locator(SPEED).wait_for()
    wrong = page.locator(".field", has=page.locator(SPEED)).locator(".wrong")
    expect(wrong).to_contain_text("while you typed it became 145 km/h")
    assert page.locator(SPEED).input_value() == "151 km/h", "what was typed is not lost"
    assert page.request.get(api).json()["number"] == since + 1
    page.locator(SPEED).focus()
    page.locator(SPEED).fill("152 km/h")
    page.locator(SPEED).press("Enter")
    expect(wrong).to_be_empty()
    assert "top_speed: 152 km/h" in page.request.get(f"{api}/build.yaml").text()


HERE_AGAIN = "What you typed before is here again"
WHOLE = "Text of the build file"


def number_of(page: Page, api: str) -> int:
    return page.request.get(api).json()["number"]


def writing_the_whole(sight: Sight, text: str) -> tuple[Page, Locator, str]:
    """At the head of the build file stands a text that is not saved; the page, its area, and the interface of the build."""
    page = open_build(sight, "/builds/1/text", whole=False)
    area = page.get_by_label(WHOLE)
    expect(area).to_have_value(re.compile("voltwright: 1"))
    area.press("Control+Home")
    page.keyboard.type(text)
    return page, area, f"{sight.address}/api/builds/1"


def test_the_text_of_the_whole_file_is_here_again_and_not_over_what_others_saved(local: Sight) -> None:
    page, area, api = writing_the_whole(local, "# of mine\n")
    page.reload()
    expect(page.get_by_text(HERE_AGAIN)).to_be_visible()
    expect(area).to_have_value(re.compile("^# of mine\n"))
    since = number_of(page, api)
    change = {"since": since, "changes": {"brief.top_speed": "144 km/h"}}
    assert page.request.patch(api, data=change, headers={"X-Voltwright": "test"}).ok
    page.reload()
    expect(page.get_by_text(f"It began with edit {since}, and others saved since")).to_be_visible()
    expect(area).to_have_value(re.compile("^# of mine\n"))
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator(".told .alert")).to_contain_text("Somebody else saved first")
    expect(page.locator(".told .difference").first).to_contain_text("144 km/h")
    assert number_of(page, api) == since + 1, "theirs still stands"
    expect(area).to_have_value(re.compile("^# of mine\n"))
    page.get_by_role("button", name="Save mine on top of it").click()
    page.get_by_text(f"Edit {since + 2},").wait_for()
    assert page.request.get(f"{api}/build.yaml").text().startswith("# of mine\n")
    page.reload()
    expect(area).to_have_value(re.compile("^# of mine\n"))
    expect(page.get_by_text(HERE_AGAIN)).to_have_count(0)


def test_what_is_put_together_after_a_refusal_is_what_is_saved(local: Sight) -> None:
    page, area, api = writing_the_whole(local, "# put together: first\n")
    change = {"since": number_of(page, api), "changes": {"brief.top_speed": "143 km/h"}}
    assert page.request.patch(api, data=change, headers={"X-Voltwright": "test"}).ok
    page.get_by_role("button", name="Save", exact=True).click()
    on_top = page.get_by_role("button", name="Save mine on top of it")
    on_top.wait_for()
    expect(area).to_be_editable()
    area.press("Control+Home")
    page.keyboard.type("# put together: second\n")
    on_top.click()
    page.get_by_text(f"Edit {change['since'] + 2},").wait_for()
    both = re.compile("^# put together: second\n# put together: first\n")
    expect(area).to_have_value(both)
    assert both.match(page.request.get(f"{api}/build.yaml").text())


def test_nothing_is_typed_into_the_whole_file_while_it_is_saved(local: Sight) -> None:
    page, area, api = writing_the_whole(local, "# before the press\n")
    number = number_of(page, api)
    page.get_by_role("button", name="Save", exact=True).click()
    expect(area).not_to_be_editable()
    page.get_by_text(f"Edit {number + 1},").wait_for()
    expect(area).to_be_editable()
    expect(area).to_have_value(re.compile("^# before the press\n"))


def test_the_text_of_the_whole_file_can_be_thrown_away(local: Sight) -> None:
    page = open_build(local, "/builds/1/text", whole=False)
    area = page.get_by_label(WHOLE)
    expect(area).to_have_value(re.compile("voltwright: 1"))
    area.fill("nonsense")
    page.reload()
    expect(area).to_have_value("nonsense")
    page.get_by_role("button", name="Throw it away").click()
    expect(area).to_have_value(re.compile("voltwright: 1"))
    expect(page.get_by_text(HERE_AGAIN)).to_have_count(0)
    page.reload()
    expect(area).to_have_value(re.compile("voltwright: 1"))


def test_what_is_added_waits_until_it_is_in(local: Sight) -> None:
    page = open_build(local, "/builds/1/cost", whole=False)
    api = f"{local.address}/api/builds/1"
    section = page.locator("details.adding", has=page.locator("summary", has_text="Add: task"))
    section.locator("summary").click()
    section.get_by_label(re.compile("^What is done")).fill("Paint the boxes")
    hours = section.get_by_label(re.compile("^Hours"))
    hours.fill("lots")
    page.reload()
    expect(section.get_by_text(HERE_AGAIN)).to_be_visible()
    expect(section.get_by_label(re.compile("^What is done"))).to_have_value("Paint the boxes")
    expect(hours).to_have_value("lots")
    before = number_of(page, api)
    section.get_by_role("button", name="Add").click()
    expect(page.locator(".told .alert")).to_be_visible()
    expect(hours).to_have_value("lots")
    change = {"since": before, "changes": {"brief.top_speed": "146 km/h"}}
    assert page.request.patch(api, data=change, headers={"X-Voltwright": "test"}).ok
    page.get_by_role("button", name="Show it").click()
    page.get_by_text(f"Edit {before + 1},").wait_for()
    hours.fill("3 h")
    section.get_by_role("button", name="Add").click()
    page.get_by_text(f"Edit {before + 2},").wait_for()
    assert "Paint the boxes" in page.request.get(f"{api}/build.yaml").text()
    page.reload()
    page.locator(".count").wait_for()
    page.wait_for_timeout(500)
    expect(page.get_by_text(HERE_AGAIN)).to_have_count(0)


def test_name_and_reason_of_a_revision_wait_and_are_dropped_once_saved(local: Sight) -> None:
    page = open_build(local, "/builds/1/revisions", whole=False)
    name, reason = page.get_by_label("Name", exact=True), page.get_by_label("Reason", exact=True)
    name.fill("For the customer")
    reason.fill("She wants a price")
    page.reload()
    expect(page.get_by_text(HERE_AGAIN)).to_be_visible()
    expect(reason).to_have_value("She wants a price")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text("For the customer").wait_for()
    expect(name).to_have_value("")
    expect(page.get_by_text(HERE_AGAIN)).to_have_count(0)
    page.reload()
    page.get_by_text("For the customer").wait_for()
    page.wait_for_timeout(500)
    expect(name).to_have_value("")


def test_what_is_typed_while_a_revision_is_saved_stays(local: Sight) -> None:
    page = open_build(local, "/builds/1/revisions", whole=False)
    name, reason = page.get_by_label("Name", exact=True), page.get_by_label("Reason", exact=True)
    name.fill("The first one")
    page.get_by_role("button", name="Save", exact=True).click()
    reason.fill("Why the second one")
    page.get_by_text("The first one").wait_for()
    expect(name).to_have_value("")
    expect(reason).to_have_value("Why the second one")
    page.reload()
    expect(page.get_by_text(HERE_AGAIN)).to_be_visible()
    expect(reason).to_have_value("Why the second one")
    expect(name).to_have_value("")
    page.get_by_role("button", name="Throw it away").click()


def test_what_is_typed_before_the_page_is_ready_is_kept_too(local: Sight) -> None:
    page = local.page
    page.route("**/socket.io/**", lambda route: None)  # the page stands there, and its server does not answer yet
    page.route_web_socket("**", lambda _: None)
    page.goto(f"{local.address}/start", wait_until="commit")
    page.get_by_label("Customer", exact=True).fill("Mrs Early")
    page.reload(wait_until="commit")
    assert page.get_by_label("Customer", exact=True).input_value() == "", "the page has not asked yet what was typed"
    page.evaluate("voltwright.keep('start')")
    expect(page.get_by_label("Customer", exact=True)).to_have_value("Mrs Early")
    page.get_by_label("Customer", exact=True).fill("Mrs Later")
    page.reload(wait_until="commit")
    page.get_by_label("Customer", exact=True).wait_for()
    page.evaluate("voltwright.keep('start')")
    expect(page.get_by_label("Customer", exact=True)).to_have_value("Mrs Later")


def test_five_answers_wait(local: Sight) -> None:
    page = local.page
    page.goto(f"{local.address}/start")
    page.get_by_label("Length over all", exact=True).fill("4.1 m")
    page.get_by_label("Customer", exact=True).fill("Mr Trewin")
    page.reload()
    expect(page.get_by_text(HERE_AGAIN)).to_be_visible()
    expect(page.get_by_label("Length over all", exact=True)).to_have_value("4.1 m")
    expect(page.get_by_label("Customer", exact=True)).to_have_value("Mr Trewin")
    page.get_by_role("button", name="Throw it away").click()
    expect(page.get_by_label("Customer", exact=True)).to_have_value("")
    page.reload()
    page.get_by_label("Customer", exact=True).wait_for()
    page.wait_for_timeout(500)
    expect(page.get_by_label("Length over all", exact=True)).to_have_value("")


def test_lines_of_what_is_wrong_are_told_and_led_to(local: Sight) -> None:
    page = open_build(local, "/builds/1/text", whole=False)
    area = page.get_by_label(WHOLE)
    expect(area).to_have_value(re.compile("voltwright: 1"))
    text = area.input_value()
    broken = text.replace(" km/h", " furlongs", 1)
    assert broken != text
    line = 1 + broken[: broken.index("furlongs")].count("\n")
    area.fill(broken)
    page.get_by_role("button", name="Save", exact=True).click()
    wrong = page.locator(".wrongs li")
    expect(wrong).to_have_count(1)
    expect(wrong).to_contain_text("brief.top_speed")
    expect(wrong).to_contain_text("Allowed")
    expect(wrong).to_contain_text("To mend it")
    assert area.input_value() == broken, "what was typed stands"
    wrong.get_by_role("button", name=f"Line {line}").click()
    marked = area.evaluate("(it) => it.value.slice(it.selectionStart, it.selectionEnd)")
    assert "furlongs" in marked
    assert "\n" not in marked
    area.fill(text.replace("voltwright: 1", "voltwright: 99"))
    page.get_by_role("button", name="Save", exact=True).click()
    expect(wrong).to_contain_text("this Voltwright reads up to 1")
