"""Values of options that cannot be read, told in the words of the house instead of those of the library that read them."""

from __future__ import annotations

from typing import Any

import typer
from typer.core import TyperGroup

from voltwright.quantity.errors import Problem
from voltwright.quantity.refused import refused


class InOurWords(TyperGroup):
    """The group of all commands; a complaint of any of them comes through here."""

    def invoke(self, ctx: Any) -> Any:
        """Raises what it raised, with another message."""
        try:
            return super().invoke(ctx)
        except typer.BadParameter as error:
            from pydantic import ValidationError  # loaded already, where it complains

            if isinstance(error.__cause__, ValidationError):
                error.message = " ".join(str(_said(each)) for each in error.__cause__.errors())
            raise


def _said(complaint: Any) -> Problem:
    day, _, form = str(complaint["msg"]).removeprefix("Value error, ").partition(" does not match the format")
    if form:
        return Problem(f"{day} is not a day", "a day such as 2027-03-31", "write year, month and day so")
    return refused(complaint)
