"""Every use case looks itself who asks, and the page of roles says what is so."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from staff import ANN, CAT
from voltwright.quantity.errors import RoleError
from voltwright.services.actor import MAY, Actor, use_case
from voltwright.services.views import Role
from voltwright.services.workshop import Workshop

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "use-cases.md").read_text(encoding="utf-8")
ROLES: tuple[Role, ...] = ("viewer", "technician", "owner")
# The process ends it, nobody is anybody before the door, and a moment shows nothing by itself.
OF_THE_HOUSE = {"at_one_moment", "close", "door"}


def use_cases(shop: Workshop) -> dict[str, Callable[..., Any]]:
    """Every public method of every room of the workshop, by room and name."""
    rooms = {name: getattr(shop, name) for name in dir(shop) if not name.startswith("_") and name not in OF_THE_HOUSE}
    return {
        f"{room}.{name}": method
        for room, made in rooms.items()
        for name, method in inspect.getmembers(made, callable)
        if not name.startswith("_")
    }


def test_there_are_use_cases(shop: Workshop) -> None:
    assert {"cars.list", "edits.change", "backups.make"} <= use_cases(shop).keys()


def test_no_public_use_case_lacks_the_check(shop: Workshop) -> None:
    assert {name: getattr(method, "use_case", None) for name, method in use_cases(shop).items()} == {
        name: name for name in MAY["owner"]
    }


def test_each_takes_the_actor_first(shop: Workshop) -> None:
    firsts = {next(iter(inspect.signature(method).parameters)) for method in use_cases(shop).values()}
    assert firsts == {"actor"}


def is_refused(method: Callable[..., Any], actor: Any) -> bool:
    """Asked with nothing but the actor: who may not is told so before anything else is looked at."""
    try:
        method(actor)
    except RoleError:
        return True
    except TypeError:  # it misses what else it takes
        return False
    return False


TOLD = {name: tuple(cell == "yes" for cell in cells) for name, *cells in re.findall(
    r"^\| `([\w.]+)` \| [^|]+ \| (yes|no) \| (yes|no) \| (yes|no) \|$", PAGE, flags=re.M
)}  # fmt: skip


def test_the_page_tells_of_every_use_case() -> None:
    assert TOLD.keys() == MAY["owner"]


@pytest.mark.parametrize("name", sorted(MAY["owner"]))
def test_each_role_may_what_the_page_says(shop: Workshop, name: str) -> None:
    method = use_cases(shop)[name]
    assert tuple(not is_refused(method, Actor("Somebody", role)) for role in ROLES) == TOLD[name]


def test_who_may_more_may_also_what_others_may() -> None:
    assert MAY["viewer"] < MAY["technician"] < MAY["owner"]


@pytest.mark.parametrize("nobody", [None, "owner", Actor("Eve", "boss")])  # pyright: ignore[reportArgumentType]
def test_nobody_may_nothing(shop: Workshop, nobody: Any) -> None:
    assert [name for name, method in use_cases(shop).items() if not is_refused(method, nobody)] == []


def test_a_refusal_says_who_may() -> None:
    class Room:
        @use_case("people.list")
        def list(self, actor: Actor) -> str:
            return "everybody"

    assert Room().list(ANN) == "everybody"
    with pytest.raises(RoleError, match=r"A viewer may not do this.*whose role is owner.*ask an owner"):
        Room().list(CAT)


def test_a_use_case_that_no_role_may_cannot_be_written() -> None:
    with pytest.raises(KeyError, match="no role may do people"):
        use_case("people.sack")


def test_the_page_is_up_to_date(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    import make_use_cases_page as tool

    assert tool.page() == PAGE
    monkeypatch.setattr("sys.argv", ["make_use_cases_page.py", "--check"])
    assert tool.main() == 0
    old = tmp_path / "use-cases.md"
    old.write_text(PAGE.replace("| yes |", "| no |", 1), encoding="utf-8")
    monkeypatch.setattr(tool, "PAGE", old)
    assert tool.main() == 1
