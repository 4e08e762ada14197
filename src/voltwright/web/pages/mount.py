"""Hangs the pages into the application, and holds what NiceGUI does by itself to the rules of the house."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Callable, Iterator
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import Response
from jinja2 import BaseLoader, Environment

from voltwright.quantity.errors import Problem
from voltwright.services import mishaps
from voltwright.services.home import home
from voltwright.services.workshop import Workshop
from voltwright.web.app import answer_of
from voltwright.web.plain_page import look, said
from voltwright.web.refusals import NoAddressError
from voltwright.web.words import t

ICON = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><rect width="32" height="32" fill="#fbfaf6"/>'
    '<path d="M5 5h22v22H5z M5 12h22 M12 12v15" fill="none" stroke="#17352f" stroke-width="3"/></svg>'
)


def mount(app: FastAPI, shop: Workshop) -> None:
    """Once for each process: NiceGUI keeps its pages in one place."""
    os.environ.setdefault(
        "NICEGUI_STORAGE_PATH", str(home() / "pages")
    )  # else it looks into the folder where one happens to be
    with _no_callers():
        from nicegui import app as pages_app
        from nicegui import client, ui
        from nicegui.translations import translations

    from voltwright.web.pages import build_page, cars_page, parts_page, script, start_page

    translations["en-GB"] = {
        "connection_lost": t("The connection to Voltwright is lost."),
        "trying_to_reconnect": t("Trying to reach it again ..."),
        "message_too_long": t("Too long to be sent"),
        "message_too_long_body": t("What you entered is too long to be sent at once."),
    }
    client.templates.env.loader = _WithNonce(client.templates.env.loader)
    ui.add_head_html(f"<style>{look()}</style>{script.tag()}", shared=True)
    app.add_api_route(script.ADDRESS, script.served, include_in_schema=False)
    cars_page.register(shop)
    start_page.register(shop)
    build_page.register(shop)
    parts_page.register(shop)
    ui.run_with(
        app,
        title="Voltwright",
        favicon=ICON,
        language="en-GB",
        tailwind=False,
        show_welcome_message=False,
        reconnect_timeout=10.0,
    )
    # else a bar without a name appears at the top whenever a script of the page fetches something
    pages_app.config.quasar_config["loadingBar"]["skipHijack"] = True
    pages_app.add_exception_handler(404, _nothing_here)
    pages_app.add_exception_handler(
        RequestValidationError, _nothing_here
    )  # as where letters stand for the number of a build
    pages_app.add_exception_handler(Exception, _went_wrong)
    pages_app.on_exception(lambda: mishaps.logged())


CALLERS = ("aiohttp", "requests")


@contextlib.contextmanager
def _no_callers() -> Iterator[None]:
    """The web library reads two that could call other servers: nobody here does, and reading them takes 0.3 s."""
    unread = [each for each in CALLERS if each not in sys.modules]
    sys.modules.update(dict.fromkeys(unread))  # pyright: ignore[reportArgumentType, reportCallIssue] - None: no such module
    try:
        yield
    finally:
        for each in unread:
            del sys.modules[each]


class _WithNonce(BaseLoader):
    """The template of all pages with the nonce of the answer on its own scripts: a script that slipped in has none."""

    def __init__(self, loader: BaseLoader | None) -> None:
        assert loader is not None
        self._loader = loader

    def get_source(self, environment: Environment, template: str) -> tuple[str, str | None, Callable[[], bool] | None]:
        source, name, fresh = self._loader.get_source(environment, template)
        return source.replace("<script", '<script nonce="{{ request.state.nonce }}"'), name, fresh


def _nothing_here(request: Request, _: Any) -> Response:
    what = f"nothing is served at {request.method} {request.url.path[:200]}"
    if request.url.path.startswith("/api/"):
        return answer_of(NoAddressError(Problem(what, "the addresses of /api/openapi.json", "correct the address")))
    return said(t("Nothing here"), t("There is no such page."), 404)


def _went_wrong(request: Request, _: Exception) -> Response:
    mishap = mishaps.logged()
    request.scope.setdefault("state", {})["told"] = True
    return said(t("Something went wrong"), f"{mishap}.", 500, from_the_shop=True)
