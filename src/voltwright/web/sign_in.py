"""The page on which people say who they are. It needs no script, and everything else lies behind it."""

from __future__ import annotations

from html import escape

from fastapi import APIRouter, Request, Response
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import RedirectResponse

from voltwright.web.entrance import LASTS, Entrance
from voltwright.web.plain_page import plain_page
from voltwright.web.refusals import MustWaitError, WrongPasswordError, headers_of, status_of
from voltwright.web.words import t

router = APIRouter(include_in_schema=False)

_FORM = """{alert}<form method="post" action="/sign-in">
<label for="name">{words[0]}</label><input id="name" name="name" value="{name}" autocomplete="username" maxlength="200" required>
<label for="password">{words[1]}</label>
<input id="password" name="password" type="password" autocomplete="current-password" maxlength="1000" required>
<button>{words[2]}</button></form>"""


@router.get("/sign-in")
def page(request: Request) -> Response:
    """The form; who is inside already is led on."""
    return RedirectResponse("/", 303) if request.state.visit else _form()


@router.post("/sign-in")
async def sign_in(request: Request) -> Response:
    """Check name and password, and give the cookie of a session."""
    entrance: Entrance = request.app.state.entrance
    async with request.form(max_files=0, max_fields=4) as form:
        name, password = str(form.get("name", "")), str(form.get("password", ""))
    try:
        token = await run_in_threadpool(entrance.sign_in, name, password, address_of(request))
    except (MustWaitError, WrongPasswordError) as error:
        answer = _form(name, str(error.problems[0]), status_of(error))
        answer.headers.update(headers_of(error))
        return answer
    response = RedirectResponse("/", 303)
    give_cookie(response, entrance, token)
    return response


@router.post("/sign-out")
def sign_out(request: Request) -> Response:
    """End the session."""
    entrance: Entrance = request.app.state.entrance
    entrance.sign_out(request.state.visit.token)
    response = RedirectResponse("/sign-in", 303)
    take_cookie(response, entrance)
    return response


def address_of(request: Request) -> str:
    """From where it came; what a header says of that is not believed."""
    return request.client.host if request.client else "unknown"


def give_cookie(response: Response, entrance: Entrance, token: str) -> None:
    """No script can read it, no other site makes a browser send it along with a change, and with TLS it goes that way alone."""
    secure = entrance.doors.tls
    response.set_cookie(
        entrance.cookie, token, max_age=int(LASTS), path="/", secure=secure, httponly=True, samesite="lax"
    )


def take_cookie(response: Response, entrance: Entrance) -> None:
    """Let the browser forget it."""
    response.delete_cookie(entrance.cookie, path="/", secure=entrance.doors.tls, httponly=True, samesite="lax")


def _form(name: str = "", wrong: str = "", status: int = 200) -> Response:
    alert = f'<p class="alert" role="alert" translate="no">{escape(wrong)}</p>' if wrong else ""
    words = (t("Name"), t("Password"), t("Sign in"))
    return plain_page(t("Sign in"), _FORM.format(alert=alert, name=escape(name[:200]), words=words), status)
