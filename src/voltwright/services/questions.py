"""What is asked of a car that begins with five answers, for any face that draws the form."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Literal

from voltwright.build.begun.answers import PLACES, spot_of
from voltwright.build.begun.parts import on_shelf
from voltwright.build.field_words import choice_words, field_words
from voltwright.parts.base import Part
from voltwright.parts.battery import Module
from voltwright.parts.countries import packs
from voltwright.parts.drive import Motor
from voltwright.parts.shelf import Shelf
from voltwright.quantity.figure import amount, fixed
from voltwright.quantity.units import CURRENCIES, Unit, preferred
from voltwright.services.shared import System
from voltwright.services.shelf_values import module_values
from voltwright.services.stocking import part_row
from voltwright.services.views import ChoiceView, QuestionView

Answer = Literal["donor", "wishes", "motor", "modules", "where"]

# In the order of the form: to which of the five it belongs, the label, an example.
ASKED: Mapping[str, tuple[Answer, str, str]] = {
    "donor": ("donor", "The donor", "Two-door saloon"),
    "year": ("donor", "Year of the donor", "1966"),
    "body": ("donor", "Body", "saloon"),
    "length": ("donor", "Length over all", "4.02 m"),
    "wheelbase": ("donor", "Wheelbase", "93 in"),
    "mass_kerb": ("donor", "Kerb mass, full tank, nobody in it", "1900 lb ± 20 lb"),
    "range": ("wishes", "Range that is wished", "100 km"),
    "cruise_speed": ("wishes", "Cruise speed that is wished", "55 mph"),
    "seats": ("wishes", "People who ride", "4"),
    "keep_gearbox": ("wishes", "Does the old gearbox stay?", "true"),
    "motor": ("motor", "Motor", "motor/pm-90kw-350v"),
    "module": ("modules", "Battery module", "module/nmc-12s-50ah"),
    "modules": ("modules", "How many modules", "12"),
    "title": ("where", "Name of the build", "Saloon for the lighthouse"),
    "country": ("where", "Country in which the car is registered", "IE"),
    "currency": ("where", "Currency", "EUR"),
}
BODIES = {
    "coupe": "two doors, a closed roof, a small rear bench",
    "roadster": "two seats, no fixed roof",
    "saloon": "a closed roof, a rear bench, a boot",
    "estate": "a saloon with a load floor behind the bench",
    "van": "a closed load space behind the seats",
    "pickup": "an open load bed behind the seats",
    "other": "none of these; the spreads are wider",
}
YES_OR_NO = (
    ChoiceView("true", "Yes", "the motor drives the old gearbox"),
    ChoiceView("false", "No", "a reduction, the motor's own gears, or none take its place"),
)


# Where the field of the build file asks something else: why, and how to find it out.
WHY: Mapping[str, tuple[str, str]] = {
    "keep_gearbox": (
        "Decides what the motor drives: torque, speed and reverse rest on it.",
        "ask whether the customer wants to change gear; look at the state of the gearbox",
    ),
    "modules": (
        "Energy, range, mass and price of the battery rest on it.",
        "count what you have, or what the wished range needs; how they are joined is worked out",
    ),
}


def questions(shelf: Shelf, own: Mapping[str, Any], system: System = "metric") -> tuple[QuestionView, ...]:
    """Every question of the form, with the parts that are on the shelf. `own`: the ids of the workshop's own parts."""
    choices: dict[str, tuple[ChoiceView, ...]] = {
        "body": tuple(ChoiceView(value, words, BODIES[value]) for value, words in choice_words(PLACES["body"]).items()),
        "keep_gearbox": YES_OR_NO,
        "motor": tuple(_motors(shelf, own, system)),
        "module": tuple(_modules(shelf, own, system)),
        "country": tuple(ChoiceView(code, pack.name, "has a rule pack") for code, pack in packs().items()),
        "currency": tuple(ChoiceView(code, code) for code in sorted(CURRENCIES)),
    }
    return tuple(
        QuestionView(
            name,
            answer,
            label,
            _allowed(name, choices),
            _example(name, example, system),
            choices.get(name, ()),
            name == "country",
            *_why(name),
        )
        for name, (answer, label, example) in ASKED.items()
    )


def _why(name: str) -> tuple[str, str]:
    """Why it is asked, and how to find it out."""
    if name in WHY:
        return WHY[name]
    words = field_words(PLACES[name])
    return words.why, words.measure


def _example(name: str, text: str, system: System) -> str:
    """An answer in the reader's units, round, as an estimate is."""
    here = spot_of(name) if name in PLACES else None
    if here is None or here.expect is None:
        return text
    unit = preferred(Unit(here.expect.unit), system)
    value = unit.from_si(here.expect.read(text).value)
    step = 0.5 * 10.0 ** math.floor(math.log10(value))
    return f"{step * round(value / step):g} {unit}"


def _mass(part: Part, system: System) -> str:
    """As it is written on the datasheet, or in the reader's units."""
    assert part.mass is not None
    return part.mass.text if system == "metric" else amount(part.mass.value, Unit("kg"), 1, system)


def _allowed(name: str, choices: Mapping[str, Iterable[ChoiceView]]) -> str:
    if name == "country":
        return f"{spot_of(name).words}; rules are known of those that are listed"
    if name in choices:
        return "one of those that are listed"
    return spot_of(name).words


def _motors(shelf: Shelf, own: Mapping[str, Any], system: System) -> Iterator[ChoiceView]:
    for motor in on_shelf(shelf, Motor):
        gears = f", reduction {motor.built_in_ratio.text}" if motor.built_in_ratio else ""
        power = f"{motor.power_peak.text} at its peak, {motor.power_continuous.text} for long"
        facts = f"{power}, {motor.voltage_nominal.text}, {_mass(motor, system)}{gears}"
        yield ChoiceView(motor.id, motor.title, facts, part_row(motor, own))


def _modules(shelf: Shelf, own: Mapping[str, Any], system: System) -> Iterator[ChoiceView]:
    for module in on_shelf(shelf, Module):
        known = module_values(module, shelf)
        if not known:
            continue
        energy, volt = known["energy"] / 3.6e6, known["voltage_nominal"]
        facts = f"{fixed(energy, 2)} kWh, {fixed(volt, 1)} V, {_mass(module, system)}, {module.stock}"
        yield ChoiceView(module.id, module.title, facts, part_row(module, own))
