"""What a hostile page, name or text tries in a real browser, and that nothing comes of it."""

from __future__ import annotations

import http.server
import threading
from collections.abc import Iterator

import pytest
from playwright.sync_api import BrowserContext

from browser_sight import REBOUND, Sight

HOSTILE = '<img src=x onerror="window.hit=1"><script>window.hit=1</script>{{ 7*7 }}${window.hit=1}'


@pytest.fixture
def elsewhere() -> Iterator[str]:
    """A page of somebody else, on another port of the same computer, which is the nearest that he can come."""

    class Page(http.server.BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.end_headers()
            self.wfile.write(b"<!doctype html><title>elsewhere</title><link rel=icon href=data:,>")

        def log_message(self, format: str, *args: object) -> None:
            """Say nothing."""

    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Page)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://localhost:{server.server_port}/"
    server.shutdown()
    thread.join()
    server.server_close()


def cars(sight: Sight) -> int:
    return len(sight.page.request.get(f"{sight.address}/api/cars").json())


def test_a_page_elsewhere_changes_and_reads_nothing(local: Sight, elsewhere: str, context: BrowserContext) -> None:
    before = cars(local)
    page = context.new_page()
    page.goto(elsewhere)
    tried = page.evaluate(
        """async (site) => {
            const send = (path, options) => fetch(site + path, {credentials: "include", ...options}).then(
                answer => answer.type === "opaque" ? "blind" : "read " + answer.status, () => "refused");
            const socket = path => new Promise(done => {
                const made = new WebSocket(site.replace("http", "ws") + path);
                made.onopen = () => done("open"); made.onerror = () => done("refused");
            });
            const car = {method: "POST", body: JSON.stringify({name: "Forged"})};
            return {
                read: await send("/api/cars"),
                json: await send("/api/cars", {...car, headers: {"Content-Type": "application/json"}}),
                simple: await send("/api/cars", {...car, mode: "no-cors"}),
                program: await send("/api/cars", {...car, headers: {"X-Voltwright": "1"}}),
                polling: await send("/_nicegui_ws/socket.io/?EIO=4&transport=polling"),
                socket: await socket("/_nicegui_ws/socket.io/?EIO=4&transport=websocket"),
            };
        }""",
        local.address,
    )
    assert tried == {"read": "refused", "json": "refused", "simple": "refused", "program": "refused", "polling": "refused",
                     "socket": "refused"}  # fmt: skip
    assert cars(local) == before


def test_our_own_page_can_do_all_that(local: Sight) -> None:
    """Otherwise the test above would prove nothing."""
    local.page.goto(local.address)
    opened = local.page.evaluate(
        """async () => [
            (await fetch("/api/cars")).status,
            await new Promise(done => {
                const made = new WebSocket(location.origin.replace("http", "ws") + "/_nicegui_ws/socket.io/?EIO=4&transport=websocket");
                made.onopen = () => { made.close(); done("open"); }; made.onerror = () => done("refused");
            })]"""
    )
    assert opened == [200, "open"]


def test_a_form_elsewhere_changes_nothing(local: Sight, elsewhere: str, context: BrowserContext) -> None:
    before = cars(local)
    page = context.new_page()
    page.goto(elsewhere)
    with page.expect_navigation():
        page.evaluate(
            """site => { const form = document.createElement("form"); form.method = "post"; form.enctype = "text/plain";
            form.action = site + "/api/cars"; form.innerHTML = `<input name='{"name": "Forged", "customer": "' value='"}'>`;
            document.body.append(form); form.submit(); }""",
            local.address,
        )
    assert "VW704" in page.content()
    assert cars(local) == before


def test_a_rebound_name_finds_the_door_shut(local: Sight) -> None:
    port = local.address.rpartition(":")[2]
    answer = local.page.goto(f"http://{REBOUND}:{port}/api/cars")
    assert answer is not None
    assert (answer.status, answer.json()["code"]) == (403, "VW704")


def test_we_cannot_be_framed(local: Sight, elsewhere: str, context: BrowserContext) -> None:
    page = context.new_page()
    page.goto(elsewhere)
    for path in ("/", "/builds/1", "/api/cars", "/nothing"):
        with page.expect_event("requestfailed") as refused:
            page.evaluate(
                "site => { const f = document.createElement('iframe'); f.src = site; document.body.append(f); }",
                f"{local.address}{path}",
            )
        assert refused.value.url == f"{local.address}{path}"
        assert refused.value.failure == "net::ERR_BLOCKED_BY_RESPONSE"
    assert not [each for each in page.frames if each.url.startswith(local.address)]


def test_hostile_text_is_shown_and_does_nothing(local: Sight) -> None:
    request = local.page.request
    headers = {"X-Voltwright": "test"}
    example = request.post(
        f"{local.address}/api/examples/roadster", data={"name": HOSTILE, "customer": HOSTILE}, headers=headers
    )
    build = example.json()["id"]
    changed = request.patch(
        f"{local.address}/api/builds/{build}", data={"since": 1, "changes": {"title": HOSTILE}}, headers=headers
    )
    assert changed.ok, changed.text()
    page = local.page
    page.goto(local.address)
    assert page.get_by_text(HOSTILE).count() >= 2
    page.goto(f"{local.address}/builds/{build}")
    page.locator("table.figures").first.wait_for()
    assert page.locator("h1").inner_text() == f"{HOSTILE} ({HOSTILE}): Summary"
    assert page.evaluate("window.hit") is None
    assert local.complaints == []


def test_a_script_that_slipped_in_does_not_run(local: Sight) -> None:
    page = local.page
    page.goto(local.address)
    page.get_by_role("heading", name="Cars").wait_for()
    hit = page.evaluate(
        """async () => {
            const add = (tag, set) => document.body.append(Object.assign(document.createElement(tag), set));
            add("script", {textContent: "window.hit = 'inline'"});
            add("script", {src: "data:text/javascript,window.hit='data'"});
            add("div", {innerHTML: "<img src=x onerror=\\"window.hit='handler'\\">"});
            add("a", {href: "javascript:window.hit='link'", id: "trap"});
            document.getElementById("trap").click();
            await new Promise(done => setTimeout(done, 500));
            return window.hit ?? null;
        }"""
    )
    assert hit is None
