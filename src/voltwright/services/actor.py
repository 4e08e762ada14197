"""Who acts, and what each role may do: the one table, and the check that every use case makes itself."""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Concatenate, ParamSpec, TypeVar

from voltwright.quantity.errors import Problem, RoleError
from voltwright.records.rows import Role

P = ParamSpec("P")
Room = TypeVar("Room")
Result = TypeVar("Result")


@dataclass(frozen=True)
class Actor:
    """Somebody who asks for something. `name` is what the log of a build will say in ten years."""

    name: str
    role: Role

    def may(self, *names: str) -> bool:
        """Whether use cases are open to this role: for what a page shows. They look for themselves once more."""
        return MAY[self.role].issuperset(names)


LOCAL_OWNER = Actor("this computer", "owner")  # where nobody signs in, and only this computer can reach the pages

_LOOK = frozenset({
    "cars.list", "cars.browse", "cars.open",
    "builds.examples", "builds.questions", "builds.read", "builds.now", "builds.log", "builds.told", "builds.refused",
    "revisions.list", "revisions.text",
    "figures.assess", "figures.best", "figures.complete", "figures.explain", "figures.as_json", "figures.pictures", "figures.drawings",
    "figures.trips", "figures.trip",
    "forms.show",
    "comparing.compare", "comparing.moved", "comparing.begin",
    "parts.list", "parts.show", "parts.fitting", "parts.log",
    "choosing.shelf", "choosing.beside", "choosing.tried",
    "sheets.fill", "sheets.open", "sheets.read", "sheets.stands_in", "sheets.away",
    "mending.effects",
    "papers.make", "papers.compare", "papers.list", "papers.file", "papers.table", "papers.workbook",
    "attachments.list", "attachments.read",
    "jobs.list", "jobs.look", "jobs.result", "jobs.stop",
    "people.set_own_password",
})  # fmt: skip
_CHANGE = frozenset({
    "cars.start", "cars.change",
    "builds.start", "builds.start_example", "builds.begin", "builds.take_in", "builds.rename",
    "edits.change", "edits.take_out", "edits.second_pack", "edits.write", "edits.undo", "edits.redo",
    "revisions.save",
    "mending.apply",
    "parts.put", "parts.take_off",
    "attachments.add",
})  # fmt: skip
_RULE = frozenset({
    "people.list", "people.add", "people.change", "people.set_password",
    "settings.all", "settings.set",
    "backups.make",
})  # fmt: skip

MAY: Mapping[Role, frozenset[str]] = {
    "viewer": _LOOK,
    "technician": _LOOK | _CHANGE,
    "owner": _LOOK | _CHANGE | _RULE,
}


def use_case(
    name: str,
) -> Callable[[Callable[Concatenate[Room, Actor, P], Result]], Callable[Concatenate[Room, Actor, P], Result]]:
    """Marks a use case, which takes the actor first; before it does anything, it looks whether that actor may."""
    if name not in MAY["owner"]:
        raise KeyError(f"no role may do {name}")

    def marked(work: Callable[Concatenate[Room, Actor, P], Result]) -> Callable[Concatenate[Room, Actor, P], Result]:
        @functools.wraps(work)
        def checked(room: Room, actor: Actor, /, *args: P.args, **kwargs: P.kwargs) -> Result:
            must_be_allowed(actor, name)
            return work(room, actor, *args, **kwargs)

        vars(checked)["use_case"] = name  # a test finds by it what lacks the check
        return checked

    return marked


def must_be_allowed(actor: Actor, name: str) -> None:
    """Raises RoleError where the role of the actor does not allow a use case."""
    role = actor.role if isinstance(actor, Actor) else None  # pyright: ignore[reportUnnecessaryIsInstance] - others call too
    if role is not None and name in MAY.get(role, frozenset()):
        return
    roles = " or ".join(each for each in ("viewer", "technician", "owner") if name in MAY[each])
    what = f"a {role} may not do this ({name})" if role else f"nobody is signed in, and this ({name}) asks who acts"
    raise RoleError(Problem(what, f"somebody whose role is {roles}", "ask an owner to do it, or to change your role"))
