"""Reads from the source of the rules which findings each can give, with severity, title and clause, for the page of findings."""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
import sys
import textwrap
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import Any

import voltwright.rules.dossier  # registers every rule
from voltwright.rules.clause import Clause, arithmetic, copied, from_memory, maker, practice, read
from voltwright.rules.finding import ORDER, Finding
from voltwright.rules.rule import Rule, all_rules


@dataclass(frozen=True, eq=False)
class Place:
    """A function of the rules in its source, and what its parameters stand for there from where it was called."""

    function: Callable[..., Any]
    given: Mapping[str, tuple[ast.expr, Place]] = field(default_factory=dict[str, "tuple[ast.expr, Place]"])
    within: tuple[Callable[..., Any], ...] = ()

    @cached_property
    def tree(self) -> ast.AST:
        return ast.parse(textwrap.dedent(inspect.getsource(self.function)))

    @property
    def names(self) -> dict[str, Any]:
        """What stands in its module."""
        return vars(sys.modules[self.function.__module__])

    def line(self, call: ast.Call) -> int:
        """The line of its module on which a call stands."""
        return inspect.getsourcelines(self.function)[1] + call.lineno - 1

    def called(self, call: ast.Call) -> Place | None:
        """The function of the rules that is called here, or None where it is another one."""
        helper = self.names.get(call.func.id) if isinstance(call.func, ast.Name) else None
        if not inspect.isfunction(helper) or not helper.__module__.startswith("voltwright.rules."):
            return None
        if helper in (*self.within, self.function):
            return None
        given = dict(zip(inspect.signature(helper).parameters, call.args, strict=False))
        given |= {str(each.arg): each.value for each in call.keywords}
        return Place(helper, {name: (node, self) for name, node in given.items()}, (*self.within, self.function))


def made_by(place: Place) -> Iterator[tuple[ast.Call, Place]]:
    """Each `Finding(...)` of a rule and of the functions that it calls, in the order of the source."""
    calls = [each for each in ast.walk(place.tree) if isinstance(each, ast.Call)]
    for call in sorted(calls, key=lambda each: (each.lineno, each.col_offset)):
        helper = place.called(call)
        if _is_name(call.func, "Finding"):
            yield call, place
        elif helper:
            yield from made_by(helper)


def findings_of(rule: Rule) -> list[tuple[str, ...]]:
    """Key, severities, title, clause and how far that was seen, of each finding that a rule can give, each once."""
    return list(dict.fromkeys(_row(call, place) for call, place in made_by(Place(rule.check))))


def _row(call: ast.Call, place: Place) -> tuple[str, ...]:
    given = dict(zip((each.name for each in fields(Finding)), call.args, strict=False))
    given |= {str(each.arg): each.value for each in call.keywords}
    severity = " or ".join(_severities(given["severity"], place))
    clause = _clause(given["clause"], place) if "clause" in given else ("", "")
    return _text(given["key"], place), severity, _text(given["title"], place), *clause


_GROUNDS = {made.__name__: made("").how_seen for made in (read, copied, from_memory, practice, maker, arithmetic)}


def _clause(node: ast.expr, place: Place) -> tuple[str, str]:
    """Text and ground of a clause, or of both where there is a choice."""
    match node:
        case ast.Call(func=ast.Name(id=name)) if name in _GROUNDS:
            return (_text(node.args[0], place) if node.args else ""), _GROUNDS[name]
        case ast.Name() if node.id in place.given:
            return _clause(*place.given[node.id])
        case ast.Name() if isinstance(known := place.names.get(node.id), Clause):
            return known.text, known.how_seen
        case ast.IfExp():
            one, other = _clause(node.body, place), _clause(node.orelse, place)
            return f"{one[0]} / {other[0]}", " / ".join(dict.fromkeys((one[1], other[1])))
        case _:
            return _text(node, place), ""


def unlisted() -> list[str]:
    """Findings in the source of the rules to which no check leads, so that the page would lack them."""
    listed = {
        (place.function.__module__, place.line(call))
        for rule in all_rules()
        for call, place in made_by(Place(rule.check))
    }
    found: set[tuple[str, int]] = set()
    for info in pkgutil.iter_modules(voltwright.rules.__path__, "voltwright.rules."):
        tree = ast.parse(inspect.getsource(importlib.import_module(info.name)))
        calls = (each for each in ast.walk(tree) if isinstance(each, ast.Call) and _is_name(each.func, "Finding"))
        found |= {(info.name, call.lineno) for call in calls}
    return [f"no check leads to the finding in {module}, line {line}" for module, line in sorted(found - listed)]


def _severities(node: ast.expr, place: Place) -> list[str]:
    """The severities that an expression can give; a name is looked up where it was given or assigned. Data may say any."""
    if isinstance(node, ast.Name) and node.id in place.given:
        return _severities(*place.given[node.id])
    if isinstance(node, ast.Name):
        assigned = (each for each in ast.walk(place.tree) if isinstance(each, ast.Assign))
        node = next(each.value for each in assigned if _is_name(each.targets[0], node.id))
    words = {each.value for each in ast.walk(node) if isinstance(each, ast.Constant) and each.value in ORDER}
    return sorted((str(word) for word in words or ORDER), key=ORDER.__getitem__)


def _is_name(node: ast.expr, name: str) -> bool:
    return isinstance(node, ast.Name) and node.id == name


def _text(node: ast.expr, place: Place) -> str:
    """A text of the source; what is filled in stands in capital letters, and a slash parts two choices."""
    match node:
        case ast.Constant():
            return "" if node.value is None else str(node.value)
        case ast.Name() if node.id in place.given:
            return _text(*place.given[node.id])
        case ast.Name() if isinstance(place.names.get(node.id), str):
            return str(place.names[node.id])
        case ast.IfExp():
            return f"{_text(node.body, place)} / {_text(node.orelse, place)}"
        case ast.BinOp(op=ast.Add()):
            return _text(node.left, place) + _text(node.right, place)
        case ast.JoinedStr():
            return "".join(_text(part, place) for part in node.values)
        case ast.FormattedValue():
            return _text(node.value, place)
        case _:
            return _filled(node)


def _filled(node: ast.expr) -> str:
    """`box.name` as BOX, `axle` as AXLE, `", ".join(missing)` as MISSING: the first name that is no function."""
    functions = {id(each.func) for each in ast.walk(node) if isinstance(each, ast.Call)}
    names = (each.id for each in ast.walk(node) if isinstance(each, ast.Name) and id(each) not in functions)
    return next(names).upper()
