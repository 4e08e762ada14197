"""A law is written once: the function computes, its equation explains, and a test proves that they agree."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

from voltwright.quantity.source import Source
from voltwright.quantity.units import Unit

Law = TypeVar("Law", bound=Callable[..., Any])


@dataclass(frozen=True)
class Parameter:
    """One input of a law; `unit` is None where the input is a table."""

    name: str
    unit: Unit | None


@dataclass(frozen=True)
class Formula:
    """What is known of a registered physics function. A procedure has words in place of an equation."""

    name: str
    function: Callable[..., Any]
    symbol: str
    equation: str
    source: Source | None
    valid: str
    words: str
    parameters: tuple[Parameter, ...]
    unit: Unit
    exact: bool

    @property
    def is_procedure(self) -> bool:
        return not self.equation

    @property
    def written(self) -> str:
        """The equation for people: `0.5 · rho · v²`."""
        return pretty(self.equation) if self.equation else self.words


_BY_FUNCTION: dict[Callable[..., Any], Formula] = {}


def formula(*, symbol: str, equation: str, source: Source | None = None, valid: str = "") -> Callable[[Law], Law]:
    """Register a law and return the function untouched.

    `equation` is in SymPy's syntax with the function's parameter names, kept in its written order.
    A law without a source is a definition or plain arithmetic.
    """

    def register(function: Law) -> Law:
        _enter(function, symbol=symbol, equation=equation, source=source, valid=valid, words="")
        return function

    return register


def procedure(*, symbol: str, words: str, source: Source | None = None, valid: str = "") -> Callable[[Law], Law]:
    """Register what is not an equation (interpolation, search, rounding); `words` say what is done."""

    def register(function: Law) -> Law:
        _enter(function, symbol=symbol, equation="", source=source, valid=valid, words=words)
        return function

    return register


def _enter(function: Callable[..., Any], **known: Any) -> None:
    hints = get_type_hints(function, include_extras=True)
    names = list(inspect.signature(function).parameters)
    parameters = tuple(Parameter(name, _unit_of(hints[name])) for name in names)
    unit = _unit_of(hints["return"])
    if unit is None:
        raise TypeError(f"{function.__name__} must say the unit of its result")
    exact = Decimal in get_args(hints["return"])
    _BY_FUNCTION[function] = Formula(
        function.__name__, function, parameters=parameters, unit=unit, exact=exact, **known
    )


def _unit_of(hint: Any) -> Unit | None:
    if get_origin(hint) is None and not get_args(hint):
        return None
    return next((extra for extra in get_args(hint) if isinstance(extra, Unit)), None)


def formula_of(function: Callable[..., Any]) -> Formula:
    """The registered formula of a function."""
    return _BY_FUNCTION[function]


def all_formulas() -> tuple[Formula, ...]:
    return tuple(_BY_FUNCTION.values())


_WORDS = {"sqrt": "√", "Min": "least of ", "Max": "greatest of ", "Abs": "size of "}


def pretty(equation: str) -> str:
    """An equation in SymPy's syntax as people write it; its order is kept."""
    text = equation.replace("**2", "²").replace("**3", "³").replace("**", "^")
    text = re.sub(r"\s*\*\s*", " · ", text)
    text = re.sub(r"\s*/\s*", " / ", text)
    for name, word in _WORDS.items():
        text = re.sub(rf"\b{name}\(", f"{word}(", text)
    return re.sub(r"^-", "−", text.replace(" - ", " − "))


def unpretty(written: str) -> str:
    """The equation in SymPy's syntax, from how it is printed: what a reader would type into a calculator."""
    text = written.replace("−", "-").replace(" · ", " * ").replace("²", "**2").replace("³", "**3").replace("^", "**")
    for name, word in _WORDS.items():
        text = text.replace(f"{word}(", f"{name}(")
    return text
