"""The guard around everything that is served, pages, interface and websocket alike: whoever he refuses reaches nothing behind him."""

from __future__ import annotations

import re
import secrets

from starlette.datastructures import Headers
from starlette.requests import cookie_parser
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from voltwright.quantity.errors import Problem, VoltwrightError
from voltwright.services import mishaps
from voltwright.services.views import ErrorView
from voltwright.web import security_headers
from voltwright.web.entrance import Entrance
from voltwright.web.journal import Journal
from voltwright.web.refusals import ForeignError, SignedOutError, TooLargeError, as_data, headers_of, status_of

PROGRAM = (
    "x-voltwright"  # a page elsewhere cannot set it without asking first, and is not answered (Fetch, CORS preflight)
)
MOST_SENT = 3_000_000  # bytes; a build file of 1 MB, and what JSON makes of it
MOST_UPLOADED = 64_000_000  # bytes; the records keep no larger file
SIGN_IN = "/sign-in"
_OPEN = frozenset({SIGN_IN, "/api/session", "/favicon.ico"})
_UPLOADS = re.compile(r"/api/cars/[0-9]+/files|/api/folders")
_FORWARDED = (b"x-forwarded-", b"forwarded")


class Guard:
    """ASGI middleware. `app` is what he guards."""

    def __init__(self, app: ASGIApp, entrance: Entrance, journal: Journal) -> None:
        self.app = app
        self._entrance, self._journal = entrance, journal

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        nonce = secrets.token_urlsafe(18)
        send = security_headers.added(send, nonce)
        headers = Headers(scope=scope)
        scope["headers"] = [each for each in scope["headers"] if not each[0].startswith(_FORWARDED)]
        try:
            self._look_at(scope, headers)
            visit = self._entrance.visit(cookie_parser(headers.get("cookie", "")))
            if visit is None and scope["path"] not in _OPEN:
                raise SignedOutError
            scope.setdefault("state", {}).update(visit=visit, nonce=nonce)
            await _Measured(self.app, _most(scope), headers)(scope, receive, send)
        except (ForeignError, SignedOutError, TooLargeError) as error:
            if isinstance(error, ForeignError):
                self._journal.note("foreign request", _address(scope), host=headers.get("host", ""),
                                   origin=headers.get("origin", ""), path=scope["path"])  # fmt: skip
            await _refusal(error, scope, headers)(scope, receive, send)
        except Exception:
            if not scope.get("state", {}).get("told"):  # else a handler has written it to the log and answered
                mishaps.logged()

    def _look_at(self, scope: Scope, headers: Headers) -> None:
        """Raises ForeignError where another site is behind the request."""
        doors, hosts = self._entrance.doors, headers.getlist("host")
        here = (scope.get("server") or ("", 0))[0] or ""
        if len(hosts) != 1 or not doors.is_ours(hosts[0], here):
            what, mend = "this server is not known under that address", "use its own address, or name it by --name"
            raise ForeignError(Problem(what, "the address that the server printed when it began", mend))
        origins = headers.getlist("origin")
        own = [doors.is_own_origin(each, hosts[0]) for each in origins]
        changing = scope["type"] == "websocket" or scope["method"] not in ("GET", "HEAD", "OPTIONS")
        missing = changing and not own and (scope["type"] == "websocket" or PROGRAM not in headers)
        if missing or not all(own) or len(own) > 1 or _is_fetched_elsewhere(scope, headers):
            mend = "use the pages of this server; a program sends the header X-Voltwright with any word"
            raise ForeignError(Problem("the request came from another site", "requests of its own pages", mend))


def _is_fetched_elsewhere(scope: Scope, headers: Headers) -> bool:
    """Whether another site fetches something for itself (W3C Fetch Metadata); following a link to a page is fine."""
    if headers.get("sec-fetch-site", "none") in ("none", "same-origin"):
        return False
    link = headers.get("sec-fetch-mode") == "navigate" and headers.get("sec-fetch-dest") == "document"
    return not (link and scope["type"] == "http" and scope["method"] == "GET")


class _Measured:
    """Counts what comes in while it comes, and answers 413 in place of whatever the application would say."""

    def __init__(self, app: ASGIApp, most: int, headers: Headers) -> None:
        self._app, self._most = app, most
        length = headers.get("content-length", "0")
        self._over = not length.isdecimal() or int(length[:20]) > most
        self._come = 0
        self._answered = False

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "websocket":
            await self._app(scope, receive, send)
            return
        if self._over:
            raise TooLargeError(self._most)

        async def counted() -> Message:
            message = await receive()
            self._come += len(message.get("body", b""))
            if self._come > self._most:
                self._over = True
                raise TooLargeError(self._most)
            return message

        async def sent(message: Message) -> None:
            if not self._over or self._answered:
                self._answered = True
                await send(message)

        await self._app(scope, counted, sent)
        if self._over and not self._answered:
            raise TooLargeError(self._most)


def _most(scope: Scope) -> int:
    return MOST_UPLOADED if _UPLOADS.fullmatch(scope["path"]) else MOST_SENT


def _address(scope: Scope) -> str:
    return (scope.get("client") or ("unknown",))[0]


def _refusal(error: VoltwrightError, scope: Scope, headers: Headers) -> ASGIApp:
    """The answer to what is refused: a page leads to signing in, a program is told the reason."""
    if scope["type"] == "websocket":
        return _closed
    asks_for_page = scope["method"] == "GET" and "text/html" in headers.get("accept", "")
    if isinstance(error, SignedOutError) and asks_for_page:
        return RedirectResponse(SIGN_IN, 303)
    answer: Response = JSONResponse(as_data(ErrorView.of(error)), status_of(error), dict(headers_of(error)))
    if isinstance(error, TooLargeError):
        answer.headers["Connection"] = "close"  # the rest of what is being sent is not read
    return answer


async def _closed(scope: Scope, receive: Receive, send: Send) -> None:
    await receive()
    await send({"type": "websocket.close", "code": 1008})  # policy violation, RFC 6455
