"""Commands of the doors: serve the pages, and say who may sign in. What they need is loaded by them alone."""

from __future__ import annotations

import gc
import getpass
import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from voltwright.cli.speaking import say
from voltwright.quantity.errors import AbsentError, EntryError, Problem
from voltwright.services import keeping

if TYPE_CHECKING:
    from voltwright.services.workshop import Workshop

people_app = typer.Typer(
    no_args_is_help=True, rich_markup_mode=None, help="Look at the people who may sign in, or change who may do what."
)


class Roles(StrEnum):
    """What somebody may do."""

    owner = "owner"
    technician = "technician"
    viewer = "viewer"


Name = Annotated[str, typer.Argument(metavar="NAME", help="As they sign in, and as the log of each build names them.")]


def serve(
    port: Annotated[int, typer.Option("--port", metavar="PORT", help="Where to listen.", min=0, max=65535)] = 8420,
    lan: Annotated[bool, typer.Option("--lan", help="Let the network in; everybody must sign in then.")] = False,
    names: Annotated[
        list[str] | None,
        typer.Option(
            "--name", metavar="NAME", help="A name or address of this computer in the network; may be repeated."
        ),
    ] = None,
    certificate: Annotated[
        Path | None, typer.Option("--certificate", metavar="FILE", help="Certificate for TLS (PEM), with --key.")
    ] = None,
    key: Annotated[Path | None, typer.Option("--key", metavar="FILE", help="Key of the certificate (PEM).")] = None,
) -> None:
    """Serve the pages and the interface, to this computer alone if nothing else is said."""
    gc.disable()  # until all is loaded: looking for garbage would take a fifth of the time to begin
    from voltwright.web.serve import serve as serve_pages

    with keeping.workshop() as shop:
        serve_pages(shop, port=port, lan=lan, names=tuple(names or ()), certificate=certificate, key=key, say=say)


@people_app.command("list")
def list_people() -> None:
    """List everybody, those who left included."""
    with keeping.workshop() as shop:
        known = shop.people.list(keeping.HERE)
    for each in known:
        say(f"{each.name:32} {each.role}{'' if each.active else ', left'}")
    if not known:
        say("Nobody is entered yet.")


@people_app.command("add")
def add_person(
    name: Name,
    role: Annotated[Roles, typer.Option("--role", help="What they may do: owner, technician or viewer.")],
) -> None:
    """Let somebody sign in. The password is asked for, or read as a line from the standard input."""
    password = _password()
    with keeping.workshop() as shop:
        made = shop.people.add(keeping.HERE, name, role.value, password)
    say(f"{made.name} may sign in as {made.role}.")


@people_app.command("change")
def change_person(
    name: Name,
    role: Annotated[Roles | None, typer.Option("--role", help="What they may do: owner, technician or viewer.")] = None,
    active: Annotated[
        bool | None, typer.Option("--active/--left", help="Whether they still work here; who left cannot sign in.")
    ] = None,
) -> None:
    """Give somebody another role, let them go, or take them back."""
    with keeping.workshop() as shop:
        known = _person(shop, name)
        made = shop.people.change(keeping.HERE, known, role=role.value if role else None, active=active)
    say(f"{made.name} is {made.role}{'' if made.active else ' and cannot sign in'}.")


@people_app.command("password")
def set_password(name: Name) -> None:
    """Give somebody a new password; it is asked for, or read as a line from the standard input."""
    password = _password()
    with keeping.workshop() as shop:
        shop.people.set_password(keeping.HERE, _person(shop, name), password)
    say(f"{name} has a new password. Whoever was signed in by that name is out.")


def _person(shop: Workshop, name: str) -> int:
    known = {each.name: each.id for each in shop.people.list(keeping.HERE)}
    if name in known:
        return known[name]
    names = ", ".join(known) or "nobody yet"
    raise AbsentError(Problem(f"there is no '{name[:60]}'", names, "choose one of them, or add the name"))


def _password() -> str:
    """Never an argument: those stand in the list of processes and in the history of the shell."""
    if sys.stdin is None or not sys.stdin.isatty():
        return (sys.stdin.readline() if sys.stdin else "").rstrip("\r\n")
    first = getpass.getpass("Password: ")
    if getpass.getpass("Once more: ") != first:
        raise EntryError(Problem("the two passwords differ", "the same one twice", "try again"))
    return first
