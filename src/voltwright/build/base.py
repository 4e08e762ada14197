"""The frozen base of every section of a build, and the short texts, names and counts in it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Any, TypeVar

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field

from voltwright.quantity.errors import Problem, QuantityError

Listed = TypeVar("Listed", bound=Sequence[Any])


class Frozen(BaseModel):
    """Immutable; unknown names are refused."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        arbitrary_types_allowed=True,
        str_max_length=2000,
        defer_build=True,  # a validator is made when a document first needs it
    )


@dataclass(frozen=True)
class Says:
    """What may be written in a field, in words, where its type does not say it."""

    words: str


def _in_digits(pattern: str, what: str) -> Any:
    """A number in digits: `true` is none, though Python takes it for 1, and neither is `1_000` or `inf`."""

    def check(raw: Any) -> Any:
        if isinstance(raw, bool) or (isinstance(raw, str) and not re.fullmatch(pattern, raw.strip())):
            shown = str(raw).lower() if isinstance(raw, bool) else raw
            mend = "write the decimal point as '.'" if "," in shown else "write it in digits, without a unit"
            raise QuantityError(Problem(f"'{shown[:40]}' is not {what}", mend=mend))
        return raw

    return BeforeValidator(check)


def _one_line(raw: Any) -> Any:
    return " ".join(raw.split()) if isinstance(raw, str) else raw


def _stays_inside(name: str) -> str:
    """A name that cannot lead out of a folder; what it leads to is looked at when the file is read."""
    steps = name.split("/")
    if "\\" in name or ":" in name or any(step in ("", ".", "..") for step in steps):
        what = f"'{name[:40]}' leads out of the folder of the build file, or may do so on another computer"
        mend = "put the file beside the build file and write its name alone"
        raise QuantityError(Problem(what, "a name, or folder/name with a plain slash", mend))
    return name


def different_names(items: Listed) -> Listed:
    """Names are how figures and drawings tell things apart."""
    names = [each.name for each in items]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        what = f"the name '{twice[0]}' stands here more than once"
        raise QuantityError(Problem(what, "each name once", f"call the second one {twice[0]}-2"))
    return items


Whole = Annotated[int, _in_digits(r"[-+]?[0-9]{1,16}", "a whole number")]
Real = Annotated[float, _in_digits(r"[-+]?([0-9]+(\.[0-9]+)?|\.[0-9]+)([eE][-+]?[0-9]{1,3})?", "a number")]
Text = Annotated[str, Field(min_length=1, max_length=200), BeforeValidator(_one_line)]
Name = Annotated[
    str,
    Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=40),
    Says("a name in small letters, digits and hyphens, such as front-box"),
]
CsvName = Annotated[
    str,
    Field(min_length=1, max_length=200),
    AfterValidator(_stays_inside),
    Says("the name of a CSV file beside the build file, or in a folder there, such as round.csv or logs/round.csv"),
]
GpxName = Annotated[
    str,
    Field(min_length=1, max_length=200),
    AfterValidator(_stays_inside),
    Says("the name of a GPX file beside the build file, or in a folder there, such as home.gpx or routes/home.gpx"),
]
PartId = Annotated[
    str,
    Field(pattern=r"^[a-z0-9-]+/[a-z0-9.-]+$", max_length=80),
    Says("the id of a part, such as module/nmc-12s-50ah ('voltwright parts list' shows them)"),
]
Count = Annotated[Whole, Field(ge=1, le=1000)]
