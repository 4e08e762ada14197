"""The five answers with which a car begins, as a person types them, and what they mean."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from typing import Annotated, Any, cast

from pydantic import TypeAdapter, ValidationError

from voltwright.build.complaints import problems_of
from voltwright.build.document import known_currency
from voltwright.build.paths import Spot, spot_at
from voltwright.parts.base import Part
from voltwright.parts.battery import Cell, Module
from voltwright.parts.drive import Motor
from voltwright.parts.shelf import AnyPart, Shelf
from voltwright.quantity.document import Document, odd_character
from voltwright.quantity.entry import Entry
from voltwright.quantity.errors import BuildError, PartError, Problem, QuantityError


@dataclass(frozen=True)
class Answers:
    """Five answers in fifteen fields, as they were typed: donor, wishes, motor, modules, and where from.

    Quantities come in any unit. `keep_gearbox`: the donor's own gearbox stays behind the motor; None where nobody said.
    """

    donor: str
    year: str
    body: str
    length: str
    wheelbase: str
    mass_kerb: str
    range: str
    cruise_speed: str
    seats: str
    keep_gearbox: bool | None
    motor: str
    module: str
    modules: str
    title: str
    country: str
    currency: str


# Where in the build file each answer stands, and with it what may be answered. Modules are counted over all strings.
PLACES: Mapping[str, str] = {
    "donor": "donor.title",
    "year": "donor.year",
    "body": "donor.body",
    "length": "donor.size.length",
    "wheelbase": "donor.size.wheelbase",
    "mass_kerb": "donor.mass_kerb",
    "range": "brief.range",
    "cruise_speed": "brief.cruise_speed",
    "seats": "brief.seats",
    "motor": "drive.motor.part",
    "module": "pack.module",
    "modules": "pack.series",
    "title": "title",
    "country": "country",
    "currency": "currency",
}


@dataclass(frozen=True)
class Wish:
    """The answers read: texts as typed (with single spaces), and their numbers in SI."""

    text: Answers
    length: float
    wheelbase: float
    mass: float
    cruise: float
    seats: int
    year: int
    modules: int
    motor: Motor
    module: Module
    cell: Cell


def read_answers(answers: Answers, shelf: Shelf) -> Wish:
    """What was answered. Raises BuildError with every answer that is wrong, each by its name."""
    text = _tidied(answers)
    values: dict[str, Any] = {}
    problems = [problem for name in PLACES for problem in _wrong(name, getattr(text, name), values)]
    if answers.keep_gearbox is None:
        what = "nothing says whether the old gearbox stays"
        problems.append(Problem(what, "yes or no", "answer yes or no", "keep_gearbox"))
    motor, module, cell = (_part(shelf, text, values, problems, *each) for each in _PARTS)
    length, wheelbase = (values.get(name) for name in ("length", "wheelbase"))
    if isinstance(length, Entry) and isinstance(wheelbase, Entry) and wheelbase.value >= length.value:
        what = f"the wheelbase ({wheelbase.text}) is not shorter than the car ({length.text})"
        problems.append(Problem(what, "less than the length", "exchange the two, or check their units", "wheelbase"))
    if problems:
        raise BuildError(sorted(problems, key=lambda each: _NAMES.index(each.path)))
    return Wish(
        text, values["length"].value, values["wheelbase"].value, values["mass_kerb"].value, values["cruise_speed"].value,
        values["seats"], values["year"], values["modules"],
        cast(Motor, motor), cast(Module, module), cast(Cell, cell),
    )  # fmt: skip


_NAMES = [each.name for each in fields(Answers)]
_PARTS: tuple[tuple[str, type[Part]], ...] = (("motor", Motor), ("module", Module), ("module", Cell))


def spot_of(name: str) -> Spot:
    """What the schema says of the place at which an answer stands."""
    here = spot_at(tuple(PLACES[name].split(".")))
    assert here is not None
    return here


def _tidied(answers: Answers) -> Answers:
    texts = {name: " ".join(str(getattr(answers, name)).split()) for name in PLACES}
    return replace(answers, **texts)


def _wrong(name: str, text: str, values: dict[str, Any]) -> Iterator[Problem]:
    """What is wrong with an answer by the schema of the build file; a good one is put to the values."""
    here, odd = spot_of(name), odd_character(text)
    if not text:
        yield Problem(
            "nothing is answered", here.words, "answer it; an estimate will do, and can be mended later", name
        )
        return
    if odd is not None:
        yield replace(odd, path=name, line=None)
        return
    try:
        field: Any = here.info
        typed: Any = cast(Any, Annotated)[field.annotation, field]
        values[name] = TypeAdapter[Any](typed).validate_python(text)
        if name == "currency":
            known_currency(text)
    except QuantityError as error:
        yield from (replace(each, path=name) for each in error.problems)
    except ValidationError as error:
        found = problems_of(
            [{**each, "loc": tuple(PLACES[name].split("."))} for each in error.errors()], Document({}, {})
        )
        yield from (replace(each, path=name) for each in found[:1])


def _part(
    shelf: Shelf, text: Answers, values: Mapping[str, Any], problems: list[Problem], name: str, kind: type[AnyPart]
) -> AnyPart | None:
    """A part that was named, or the cell of the module that was."""
    if name not in values:
        return None
    try:
        if kind is not Cell:
            return shelf.take(getattr(text, name), kind)
        module = shelf.any(getattr(text, name))
        return shelf.take(module.cell, kind) if isinstance(module, Module) else None
    except PartError as error:
        known = ", ".join(shelf.ids(name)[:6])
        if not any(each.path == name for each in problems):
            problems += [
                Problem(each.what, each.allowed or known, each.mend or f"write one of: {known}", name)
                for each in error.problems
            ]
        return None
