"""The pages in a language that no reader has: a word that no catalogue was asked for stands out between its marks.

What the dossier or a person says is marked as not to be translated, and is left out.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from at_the_door import PASSWORDS
from serving import Served, served
from staff import ANN
from voltwright.records.records import Records
from voltwright.services.workshop import Workshop
from voltwright.web.words import LANGUAGE, PSEUDO

# Every text and every attribute that is read out, but those of which the nearest word on it says "not to be translated".
UNMARKED = r"""
() => {
  const own = each => { const said = each.closest('[translate]'); return !said || said.getAttribute('translate') !== 'no' }
  const bare = text => text.replace(/⟦[^⟦⟧]*(?:⟦[^⟦⟧]*⟧[^⟦⟧]*)*⟧/g, ' ')
  const found = []
  const look = (text, where) => { if (/\p{L}{2,}/u.test(bare(text))) found.push(text.trim().slice(0, 80) + ' <- ' + where) }
  const named = e => e.tagName.toLowerCase() + '.' + (e.getAttribute('class') || '')
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT)
  while (walk.nextNode()) {
    const holds = walk.currentNode.parentElement
    if (['SCRIPT', 'STYLE', 'NOSCRIPT', 'TEXTAREA'].includes(holds.tagName) || !own(holds)) continue
    look(walk.currentNode.textContent, named(holds))
  }
  for (const each of document.body.querySelectorAll('[aria-label],[title],[placeholder],[alt]')) {
    if (!own(each)) continue
    for (const name of ['aria-label', 'title', 'placeholder', 'alt'])
      if (each.hasAttribute(name)) look(each.getAttribute(name), named(each) + '@' + name)
  }
  return [...new Set(found)]
}
"""
SETTING = "⟦"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    home = tmp_path_factory.mktemp("pseudo")
    with Workshop(Records.open(home)) as shop:
        shop.people.add(ANN, ANN.name, ANN.role, PASSWORDS[ANN.name])
        shop.builds.start_example(ANN, "coupe", car_name="Blue coupé")
    with pytest.MonkeyPatch.context() as set_to:
        set_to.setenv(LANGUAGE, PSEUDO)
        with served(home, "--lan", "--name", "workshop.local") as site:
            yield site


@pytest.fixture
def page(chromium: Browser, site: Served) -> Iterator[Page]:
    context = chromium.new_context()
    context.set_default_timeout(90_000)
    page = context.new_page()
    page.goto(f"{site.address}/sign-in")
    page.locator("input[name=name]").fill(ANN.name)
    page.locator("input[name=password]").fill(PASSWORDS[ANN.name])
    page.locator("form button").click()
    page.locator("main h1, h1").first.wait_for()
    yield page
    context.close()


def pages_of_a_build(page: Page, address: str) -> list[str]:
    page.goto(f"{address}/builds/1/summary")
    page.locator(".count").wait_for()
    return [each.get_attribute("href") or "" for each in page.locator(".contents a").all()]


def test_every_word_of_every_page_is_in_the_catalogue(page: Page, site: Served) -> None:
    wrong: dict[str, list[str]] = {}
    for path in ("/", "/start", "/parts", "/parts/write?kind=module", *pages_of_a_build(page, site.address)):
        page.goto(f"{site.address}{path}")
        if path.startswith("/builds"):
            page.locator(".count").wait_for()
            page.locator(".waiting").first.wait_for(state="detached")
            page.evaluate("document.querySelectorAll('.more').forEach(each => { each.open = true; })")
            page.wait_for_function("!document.querySelector('.written .more:not(:has(dl))')")
        found = page.evaluate(UNMARKED)
        if SETTING not in page.title():
            found.append(f"{page.title()} <- title")
        if found:
            wrong[path] = found
    everywhere = sorted({f"{path}: {each}" for path, found in wrong.items() for each in found})
    assert not everywhere, "\n".join(everywhere)
