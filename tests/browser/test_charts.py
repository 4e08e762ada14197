"""Plots in a real browser, drawn by the library that the pages ship: hostile names stay text, also where the pointer rests."""

from __future__ import annotations

import json
from pathlib import Path

import nicegui
import pytest
from playwright.sync_api import BrowserContext, Page, Route

from hostile_plots import EVIL, HOSTILE
from voltwright.quantity.plot import Plot
from voltwright.web.pages.charts import height_of, options

NICEGUI = Path(nicegui.__file__).parent
SHIPPED = {"/dist/": NICEGUI / "elements" / "echart" / "dist", "/utils/": NICEGUI / "static" / "utils"}
PAGE = """<!doctype html><title>Plots</title><div id="plot" style="width: 760px"></div><script type="module">
import { echarts } from "/dist/index.js";
import { convertDynamicProperties } from "/utils/dynamic_properties.js";
window.draw = (options, height) => {
  document.getElementById("plot").style.height = height + "px";
  convertDynamicProperties(options, true);
  echarts.init(document.getElementById("plot")).setOption(options);
};
</script>"""


def shipped(route: Route) -> None:
    """The files of the installed package, as a page of ours gets them."""
    path = route.request.url.removeprefix("http://plots.test")
    for begin, folder in SHIPPED.items():
        if path.startswith(begin):
            route.fulfill(path=folder / path.removeprefix(begin), content_type="text/javascript")
            return
    route.fulfill(body=PAGE, content_type="text/html")


def drawn(context: BrowserContext, plot: Plot) -> tuple[Page, list[str]]:
    page, complaints = context.new_page(), list[str]()
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.route("**/*", shipped)
    page.goto("http://plots.test/")
    page.wait_for_function("() => Boolean(window.draw)")
    page.evaluate("([options, height]) => draw(options, height)", [options(plot), height_of(plot)])
    page.wait_for_selector("#plot canvas")
    return page, complaints


@pytest.mark.parametrize("plot", HOSTILE, ids=lambda plot: plot.kind)
def test_hostile_names_stay_text_under_the_pointer(context: BrowserContext, plot: Plot) -> None:
    page, complaints = drawn(context, plot)
    page.mouse.move(330, height_of(plot) * 0.45)
    page.wait_for_function("name => document.getElementById('plot').innerText.includes(name)", arg=EVIL.strip(":"))
    assert page.locator("#plot img").count() == 0
    assert page.evaluate("window.hit") is None
    assert page.locator("#plot").get_attribute("aria-label") == EVIL
    assert complaints == []
    assert json.loads(json.dumps(options(plot))) == options(plot), "lists and plain values alone"
