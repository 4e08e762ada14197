"""Names that would act, lead elsewhere or break the page, in every field of text: shown as they are, or refused in words."""

from __future__ import annotations

import io
import re
import time
from collections.abc import Callable, Iterator
from itertools import cycle
from pathlib import PurePosixPath
from typing import Any

import openpyxl
import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from browser_sight import Sight, open_build
from voltwright.build.paths import spot_at
from voltwright.build.variants import steps

Shot = Callable[[str], None]
EVIL = (
    '<img src=x onerror="window.hit=1">',
    "=cmd|' /C calc'!A0",
    "../../x",
    """"'`>&lt;b&gt; {{7*7}} ${window.hit=1}""",
    "\u05e9\u05dc\u05d5\u05dd (\u202egpj.exe)",
    "W" * 199,
)
TRAPPED = '<img src=x onerror="window.hit=1"> =cmd()'
ITEM = re.compile(r"\.\d+(?=\.|$)")


def nothing_happened(sight: Sight) -> None:
    page = sight.page
    assert page.evaluate("window.hit") is None
    assert page.locator('img[src="x"], [onerror]').count() == 0
    assert sight.elsewhere == sight.complaints == []


def rest_of_start(page: Page) -> None:
    """Good answers where no free text is asked."""
    texts = {"year": "1966", "length": "4.02 m", "wheelbase": "93 in", "mass_kerb": "1900 lb", "range": "100 km",
             "cruise_speed": "55 mph", "seats": "4", "modules": "12", "country": "IE"}  # fmt: skip
    for name, text in texts.items():
        page.locator(f"#q-{name}").fill(text)
    for name, value in {"body": "saloon", "keep_gearbox": "true", "motor": "motor/pm-90kw-350v",
                        "module": "module/nmc-12s-50ah", "currency": "EUR"}.items():  # fmt: skip
        page.locator(f"#q-{name}").select_option(value)


@pytest.mark.parametrize("evil", EVIL, ids=["html", "formula", "path", "quotes", "right-to-left", "long"])
def test_in_every_field_of_the_start(local: Sight, shot: Shot, evil: str) -> None:
    page = local.page
    page.goto(f"{local.address}/start")
    page.wait_for_function("window.voltwright && window.voltwright.kept")
    fields = page.locator("input[type=text]")
    assert fields.count() == 13
    for each in fields.all():
        each.fill(evil)
    button = page.get_by_role("button", name="Start with these answers")
    button.click()
    page.get_by_text("need another look").wait_for()
    expect(page.locator("[aria-invalid=true]").first).to_be_focused()
    nothing_happened(local)
    if evil == EVIL[0]:
        shot("hostile-start")
    rest_of_start(page)
    button.click()
    if "\u202e" in evil:  # it hides the order of what follows
        expect(page.locator(".told .alert")).to_contain_text("not one line")
        nothing_happened(local)
        return
    page.wait_for_url(re.compile("/summary"))
    page.locator("table.figures").first.wait_for()
    assert page.locator("h1").inner_text() == f"{evil} ({evil}): Summary"
    nothing_happened(local)
    page.goto(local.address)
    assert page.get_by_text(evil, exact=True).count() >= 2, "car and customer"
    nothing_happened(local)


@pytest.mark.parametrize("evil", EVIL, ids=["html", "formula", "path", "quotes", "right-to-left", "long"])
def test_in_every_name_of_the_list(local: Sight, shot: Shot, evil: str) -> None:
    page = local.page
    made = page.request.post(
        f"{local.address}/api/examples/roadster",
        data={"name": f"Nameless {EVIL.index(evil)}"},
        headers={"X-Voltwright": "test"},
    )
    build = made.json()["id"]
    page.goto(local.address)
    page.get_by_role("button", name=f"Change Nameless {EVIL.index(evil)}").click()
    fields = page.locator(".renaming input")
    expect(fields).to_have_count(3)
    for each in fields.all():
        each.fill(evil)
    page.get_by_role("button", name="Save the names").click()
    page.wait_for_function("document.querySelector('.told:not(:empty)')")
    if page.get_by_text("The names are saved.").count():
        link = page.locator(f'a[href="/builds/{build}"]')
        expect(link).to_have_text(evil)
        assert page.locator("tr", has=link).locator("th, td.customer").all_inner_texts() == [evil, evil]
    else:
        expect(page.locator(".renaming .alert")).to_contain_text("one line")
        assert "\u202e" in evil
    nothing_happened(local)
    shot("hostile-list")
    page.goto(f"{local.address}/")
    if page.locator("#search").count() == 0:
        page.goto(f"{local.address}/?search=a")
    page.locator("#search").fill(evil)
    page.get_by_role("button", name="Search").click()
    page.wait_for_url(re.compile("search="))
    assert page.locator("#search").input_value() == evil
    nothing_happened(local)


def free_texts(page: Page) -> Iterator[str]:
    """The paths of all fields on the page in which any text may stand, of a list those of the first item."""
    seen = set[str]()
    for path in page.locator(".written input[data-path]").evaluate_all("each => each.map(one => one.dataset.path)"):
        pattern = ITEM.sub(".0", path)
        here = spot_at(tuple(steps(path)))
        if here is not None and here.expect is None and here.kind is str and pattern not in seen:
            seen.add(pattern)
            yield path


def edits(page: Page) -> str:
    return page.locator(".controls .of").first.inner_text()


def type_into(page: Page, path: str, text: str) -> bool:
    """Whether it was taken; else it was refused in words."""
    page.evaluate("document.querySelectorAll('.written details:not(.more)').forEach(each => { each.open = true; })")
    entry = page.locator(f'.written input[data-path="{path}"]')
    before = edits(page)
    entry.fill(text)
    entry.blur()
    wrong = entry.locator("xpath=..").locator(".wrong:not(:empty)")
    told = page.locator(".told .alert")
    end = time.monotonic() + 30.0
    while time.monotonic() < end:
        if edits(page) != before:
            return True
        if wrong.count() or told.count():
            return False
        page.wait_for_timeout(30)
    raise AssertionError(f"{path}: neither taken nor refused")


def test_in_every_free_text_of_a_build(local: Sight, shot: Shot) -> None:
    page = local.page
    made = page.request.post(
        f"{local.address}/api/examples/coupe", data={"name": "Hostile"}, headers={"X-Voltwright": "test"}
    )
    build = made.json()["id"]
    open_build(local, f"/builds/{build}/brief", whole=False)
    leaves = [each.get_attribute("href") or "" for each in page.locator(".contents a").all()]
    texts, taken, refused = cycle(EVIL[:4] + EVIL[5:]), list[str](), list[str]()
    for leaf in leaves:
        open_build(local, leaf, whole=False)
        for path in list(free_texts(page)):
            if type_into(page, path, next(texts)):
                taken.append(path)
            else:
                refused.append(path)
                open_build(local, leaf, whole=False)
        nothing_happened(local)
    assert len(taken) > 15
    assert {"title", "workshop", "brief.customer", "donor.title", "donor.removed.0.name", "works.0.undone_by"} <= {
        *taken
    }
    assert all(spot_at(tuple(steps(each))) for each in refused)
    a_note(local, build)
    for leaf in leaves:
        open_build(local, leaf, whole=False)
        nothing_happened(local)
        if leaf.startswith(f"/builds/{build}/mass"):
            shot("hostile-build")
    papers_are_inert(local, build)


def a_note(sight: Sight, build: int) -> None:
    """The note beside a quantity."""
    page = open_build(sight, f"/builds/{build}/donor", whole=False)
    before = edits(page)
    row = page.locator(".written .field", has=page.locator('[data-path="donor.mass_kerb"]'))
    row.locator(".more > summary").click()
    row.get_by_label("Note", exact=True).fill(TRAPPED)
    row.get_by_label("Note", exact=True).blur()
    page.wait_for_function("before => document.querySelector('.controls .of').innerText !== before", arg=before)
    nothing_happened(sight)


def papers_are_inert(sight: Sight, build: int) -> None:
    """Paper, workbook and tables show the names and do nothing; no name of a file leads anywhere."""
    page = open_build(sight, f"/builds/{build}/papers", whole=False)
    page.get_by_role("button", name="Make the papers").click()
    page.get_by_role("link", name="Design paper (PDF)").wait_for()
    for link in page.locator(".downloads a").all():
        answer = page.request.get(f"{sight.address}{link.get_attribute('href')}")
        assert answer.ok, answer.text()
        named = re.search(r'filename="?([^";]+)', answer.headers.get("content-disposition", ""))
        name = named[1] if named else (link.get_attribute("href") or "").partition("?")[0].rpartition("/")[2]
        assert PurePosixPath(name).name == name
        assert re.fullmatch(r"[\w .-]+", name), name
        check = {"pdf": pdf_is_inert, "xlsx": workbook_is_inert, "csv": table_is_inert}.get(name.rpartition(".")[2])
        if check:
            check(answer.body())


def pdf_is_inert(content: bytes) -> None:
    assert content.startswith(b"%PDF-")
    paper = PdfReader(io.BytesIO(content))
    text = "".join(each.extract_text() for each in paper.pages)
    assert "onerror" in text, "shown as it was typed"
    for name in (b"/JavaScript", b"/JS ", b"/Launch", b"/EmbeddedFile"):
        assert name not in content
    actions: list[Any] = [each for page in paper.pages for each in page.get("/Annots") or ()]
    uris = [str(each.get_object().get("/A", {}).get("/URI", "")) for each in actions]
    assert [each for each in uris if each and not each.startswith("https://")] == []


def workbook_is_inert(content: bytes) -> None:
    book = openpyxl.load_workbook(io.BytesIO(content))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert [cell.value for cell in cells if cell.data_type == "f" or cell.hyperlink] == []
    assert any("cmd|" in str(cell.value) for cell in cells) or any("onerror" in str(cell.value) for cell in cells)


def table_is_inert(content: bytes) -> None:
    lines = content.decode("utf-8-sig").splitlines()
    assert [line for line in lines if re.match(r'"?[=@+]', line) or re.search(r',"?[=@+][A-Za-z]', line)] == []
