"""The pages in Chromium: from a field that is left to the figures and pictures that follow, to their bands, and to a first page."""

from __future__ import annotations

import os
import shutil
import statistics
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from benchmarks.many_users import serving
from benchmarks.table import Row, Setting

EXAMPLE = "coupe"
# Two pages with the field that is edited: one where the pictures stay, one where charts and the car to scale are drawn anew.
PLACES = {"figures": ("pack", "pack.boxes.0.mass"), "pictures": ("mass", "extras.3.mass")}
# It runs in the page, so that the way to this program is not timed; a moment counts when what changed has been painted.
CLOCK = """
() => {
  window.waited = {}
  const edit = () => document.querySelector('.controls .of').textContent
  const pending = () => [...document.querySelectorAll('.pending')].some((each) => each.textContent)
  document.addEventListener('change', () => { window.waited = {begun: performance.now(), edit: edit()} }, true)
  const painted = (kept, name) => {
    kept[name] = NaN
    requestAnimationFrame(() => setTimeout(() => { kept[name] = performance.now() - kept.begun }))
  }
  new MutationObserver(() => {
    const kept = window.waited
    if (kept.begun === undefined || edit() === kept.edit) return
    if (kept.points === undefined) painted(kept, 'points')
    if (kept.bands === undefined && !pending()) painted(kept, 'bands')
    if (kept.whole === undefined && !document.querySelector('.waiting')) painted(kept, 'whole')
  }).observe(document.body, {subtree: true, childList: true, attributes: true, characterData: true})
}
"""


def rows(setting: Setting) -> Iterator[Row]:
    times = 3 if setting.small else 40
    with (
        tempfile.TemporaryDirectory(dir=Path.cwd()) as home,
        serving(Path(home)) as address,
        sync_playwright() as player,
    ):
        root = ["--no-sandbox"] if os.geteuid() == 0 else []
        browser = player.chromium.launch(executable_path=shutil.which("chromium"), args=root)
        page = browser.new_page()
        made = page.request.post(f"{address}/api/examples/{EXAMPLE}", headers={"X-Voltwright": "benchmark"}, data={})
        build = f"{address}/builds/{made.json()['id']}"
        _opened(page, f"{build}/summary")  # the first dossier of a server reads what was compiled before
        first = [_opened(page, f"{build}/summary") for _ in range(min(times, 10))]
        edits = {name: _edits(page, f"{build}/{leaf}", path, times) for name, (leaf, path) in PLACES.items()}
        browser.close()
    for name, (points, bands, whole) in edits.items():
        slow = sorted(points)[int(len(points) * 0.95)]
        met = "yes" if slow <= 0.4 else "no"
        note = f"95 % within {slow * 1000:.0f} ms, below 400 ms: {met}"
        yield Row(f"browsing.{name}", statistics.median(points), None, 0.200, note)
        yield Row(f"browsing.{name}.bands", statistics.median(bands), None, 1.0, "from the same moment")
        yield Row(f"browsing.{name}.remedies", statistics.median(whole), None, None, "from the same moment")
    yield Row(
        "browsing.first_page",
        statistics.median(first),
        None,
        2.0,
        "a build opened: its form, point figures and pictures",
    )


def _opened(page: Page, address: str) -> float:
    begun = time.perf_counter()
    page.goto(address)
    page.locator(".count").wait_for()
    taken = time.perf_counter() - begun
    page.locator(".waiting").first.wait_for(state="detached")
    return taken


def _edits(page: Page, address: str, path: str, times: int) -> tuple[tuple[float, ...], ...]:
    """Of each edit the time to the points, to the bands and to the whole. [s]"""
    page.goto(address)
    page.locator(".count").wait_for()
    page.locator(".waiting").first.wait_for(state="detached")
    page.evaluate(CLOCK)
    return tuple(zip(*(_edited(page, path, 16 + each) for each in range(times)), strict=True))


def _edited(page: Page, path: str, mass: float) -> tuple[float, float, float]:
    typed = "(field, text) => { field.value = text; field.dispatchEvent(new Event('change', {bubbles: true})) }"
    page.locator(f'input[data-path="{path}"]').evaluate(typed, f"{mass:g} kg")
    page.wait_for_function("window.waited.whole > 0")
    waited = page.evaluate("window.waited")
    return waited["points"] / 1000, waited["bands"] / 1000, waited["whole"] / 1000
