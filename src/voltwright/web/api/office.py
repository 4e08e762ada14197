"""Who is signed in, and what an owner rules: people, settings, backups."""

from __future__ import annotations

from typing import Any

from fastapi import Request, Response
from fastapi.concurrency import run_in_threadpool

from voltwright.services.views import Actor, Person, Role
from voltwright.web.api.asked import Body, Id, Inside, Passing, Shop, Who, router_of
from voltwright.web.sign_in import address_of, give_cookie, take_cookie

router = router_of("office")


class SignIn(Body):
    """A name and its password."""

    name: str
    password: str


class Newcomer(Body):
    """Somebody who will work here."""

    name: str
    role: Role
    password: str


class PersonChange(Body):
    """What is left out stays. Who leaves is not active any more."""

    role: Role | None = None
    active: bool | None = None


class NewPassword(Body):
    """At least eight characters."""

    password: str


class OwnPassword(Body):
    """The old one proves that it is you."""

    old: str
    new: str


class Setting(Body):
    """Whatever JSON can hold."""

    value: Any


@router.post("/session")
async def sign_in(inside: Inside, request: Request, response: Response, body: SignIn) -> Actor:
    """Sign in: the answer brings a cookie that must come with every further request."""
    token = ""
    if inside.doors.lan:
        token = await run_in_threadpool(inside.sign_in, body.name, body.password, address_of(request))
        give_cookie(response, inside, token)
    return await run_in_threadpool(inside.who, token)


@router.get("/session")
def whoami(who: Who) -> Actor:
    """Who is signed in, and as what."""
    return who


@router.delete("/session", status_code=204)
def sign_out(inside: Inside, request: Request, who: Who) -> Response:
    """Sign out."""
    inside.sign_out(request.state.visit.token)
    response = Response(status_code=204)
    take_cookie(response, inside)
    return response


@router.put("/session/password", status_code=204, response_class=Response)
def set_own_password(shop: Shop, inside: Inside, who: Who, request: Request, body: OwnPassword) -> None:
    """Change one's own password; one is then signed out everywhere."""
    with inside.trying(who.name, address_of(request)):
        shop.people.set_own_password(who, body.old, body.new)


@router.get("/people")
def list_people(shop: Shop, who: Who) -> tuple[Person, ...]:
    """Everybody, those who left included."""
    return shop.people.list(who)


@router.post("/people", status_code=201)
def add_person(shop: Shop, who: Who, body: Newcomer) -> Person:
    """Somebody new."""
    return shop.people.add(who, body.name, body.role, body.password)


@router.patch("/people/{person}")
def change_person(shop: Shop, who: Who, person: Id, body: PersonChange) -> Person:
    """Another role; let go, or taken back."""
    return shop.people.change(who, person, role=body.role, active=body.active)


@router.put("/people/{person}/password", status_code=204, response_class=Response)
def set_password(shop: Shop, who: Who, person: Id, body: NewPassword) -> None:
    """A new password for somebody, who is then signed out everywhere."""
    shop.people.set_password(who, person, body.password)


@router.get("/settings")
def all_settings(shop: Shop, who: Who) -> dict[str, Any]:
    """Every setting by its key."""
    return shop.settings.all(who)


@router.put("/settings/{key}", status_code=204, response_class=Response)
def set_setting(shop: Shop, who: Who, key: str, body: Setting) -> None:
    """Set or replace one."""
    shop.settings.set(who, key, body.value)


@router.post("/backups", response_class=Response)
def make_backup(shop: Shop, who: Who) -> Response:
    """Everything in one verified file."""
    return Passing(shop.backups.make(who))
