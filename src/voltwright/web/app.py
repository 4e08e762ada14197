"""What is served, put together: interface and sign-in behind the guard; pages are hung in beside them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp

from voltwright.quantity.errors import Problem, RequestError, VoltwrightError
from voltwright.quantity.refused import refused
from voltwright.services import mishaps
from voltwright.services.views import ErrorView
from voltwright.services.workshop import Workshop
from voltwright.web import sign_in
from voltwright.web.api import builds, cars, figures, jobs, office, parts
from voltwright.web.entrance import Entrance
from voltwright.web.guard import Guard
from voltwright.web.journal import Journal
from voltwright.web.refusals import NoAddressError, as_data, headers_of, status_of

_DESCRIBED = "/api/openapi.json describes it"


def make_app(shop: Workshop, entrance: Entrance) -> FastAPI:
    """Interface and sign-in, without guard and pages."""
    app = FastAPI(
        title="Voltwright",
        description="Every use case of the workshop, for programs. Values come as printed and in the units of the contract.",
        docs_url=None,  # the page that comes with it fetches scripts from elsewhere
        redoc_url=None,
        openapi_url="/api/openapi.json",
        separate_input_output_schemas=False,
    )
    app.state.shop, app.state.entrance = shop, entrance
    for each in (sign_in, cars, builds, figures, parts, jobs, office):
        app.router.routes.extend(each.router.routes)
    app.add_exception_handler(VoltwrightError, _told)
    app.add_exception_handler(RequestValidationError, _malformed)
    app.add_exception_handler(HTTPException, _by_status)
    app.add_exception_handler(Exception, _unexpected)
    return app


def guarded(app: ASGIApp, entrance: Entrance, journal: Journal) -> Guard:
    """What goes to the server."""
    return Guard(app, entrance, journal)


def answer_of(error: VoltwrightError) -> JSONResponse:
    """An error of the house as JSON."""
    return JSONResponse(_json(as_data(ErrorView.of(error))), status_of(error), dict(headers_of(error)))


def _json(data: Any) -> Any:
    from fastapi.encoders import jsonable_encoder

    return jsonable_encoder(data)


def _told(_: Request, error: Exception) -> Response:
    assert isinstance(error, VoltwrightError)
    return answer_of(error)


def _malformed(_: Request, error: Exception) -> Response:
    """What pydantic says of a request, in the form and the words of the house."""
    assert isinstance(error, RequestValidationError)
    found = [refused(each, ".".join(map(str, each["loc"]))) for each in error.errors()]
    return answer_of(RequestError([replace(each, mend=f"{each.mend}, as {_DESCRIBED}") for each in found]))


def _by_status(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    what = f"nothing is served at {request.method} {request.url.path[:200]}"
    if error.status_code in (404, 405):
        return answer_of(NoAddressError(Problem(what, "the addresses of /api/openapi.json", "correct the address")))
    return answer_of(RequestError(Problem(str(error.detail), mend=f"send it as {_DESCRIBED}")))


async def _unexpected(request: Request, _: Exception) -> Response:  # a thread would not know the error
    """A number and a log; what went wrong inside is nobody's business outside."""
    mishap = mishaps.logged()
    request.scope.setdefault("state", {})["told"] = True
    problem = Problem(str(mishap), mend="keep the reference number and the log when you report it")
    return JSONResponse(as_data(ErrorView(mishaps.CODE, "something went wrong", (problem,))), 500)
