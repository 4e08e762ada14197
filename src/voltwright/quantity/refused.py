"""What pydantic refuses, in the workshop's words: one table for documents, for requests and for commands."""

from __future__ import annotations

from typing import Any

from voltwright.quantity.errors import Problem, QuantityError

# What the schema's complaint means, by its kind, and how to mend it; `{}` is what was written.
SAID: dict[str, tuple[str, str]] = {
    "json_invalid": ("what was sent is not JSON", "check brackets, commas and quotes"),
    "enum": ("{} is not one of the words allowed here", "write one of them"),
    "string_type": ("{} is not a text", "put it in quotes"),
    "string_too_short": ("nothing is written here", "write a text, or take the line out"),
    "string_too_long": ("{} is too long", "say it in fewer words"),
    "string_pattern_mismatch": ("{} is not written as it must be here", "write it in that form"),
    "literal_error": ("{} is not one of the words allowed here", "write one of them"),
    "greater_than": ("{} is outside what makes sense here", "check the number"),
    "greater_than_equal": ("{} is outside what makes sense here", "check the number"),
    "less_than": ("{} is outside what makes sense here", "check the number"),
    "less_than_equal": ("{} is outside what makes sense here", "check the number"),
    "int_from_float": ("{} is not a whole number", "write a whole number"),
    "int_parsing": ("{} is not a whole number", "write a whole number in digits, without a unit"),
    "int_parsing_size": ("{} is not a number of this world", "check the number"),
    "int_type": ("{} is not a whole number", "write a whole number in digits, without a unit"),
    "float_parsing": ("{} is not a number", "write a number in digits, without a unit"),
    "float_type": ("{} is not a number", "write a number in digits, without a unit"),
    "finite_number": ("{} is not a finite number", "write a number that was measured"),
    "bool_type": ("{} is neither true nor false", "write true or false"),
    "bool_parsing": ("{} is neither true nor false", "write true or false"),
    "list_type": ("{} is not a list", "put it in brackets"),
    "tuple_type": ("{} is not a list", "write each item on a line of its own, after '- '"),
    "dict_type": ("{} is not a set of names and values", "write names and values below it, indented"),
    "model_attributes_type": ("{} is not a set of names and values", "write names and values"),
    "model_type": ("{} is not a set of names and values", "write names and values below it, indented"),
    "too_short": ("too few items stand here", "add what is missing"),
    "too_long": ("too many items stand here", "take some out"),
}

_BOUNDS = {"ge": "{} or more", "gt": "more than {}", "le": "up to {}", "lt": "less than {}",
           "min_length": "at least {} of it", "max_length": "up to {} of it", "expected": "{}"}  # fmt: skip
_KINDS = {"int": "a whole number in digits", "float": "a number in digits", "bool": "true or false", "string": "a text",
          "json": "JSON", "list": "a list", "dict": "names and values", "model": "names and values",
          "missing": "a value"}  # fmt: skip


def _plain(bound: Any) -> str:
    return str(int(bound)) if isinstance(bound, float) and bound.is_integer() else str(bound)


def refused(error: Any, path: str = "") -> Problem:
    """One complaint of pydantic, where no schema of ours says more: what, what is allowed, how to mend it."""
    kind, found = str(error["type"]), error.get("ctx", {})
    cause = found.get("error")
    if isinstance(cause, QuantityError):
        first = cause.problems[0]
        return Problem(first.what, first.allowed, first.mend or "write what is allowed here", path)
    allowed = " and ".join(words.format(_plain(found[each])) for each, words in _BOUNDS.items() if each in found)
    allowed = allowed or _KINDS.get(kind.split("_")[0], "")
    name = str(error["loc"][-1]) if error["loc"] else "it"
    if kind == "missing":
        return Problem("this is missing", allowed, f"add '{name}'", path)
    if kind == "extra_forbidden":
        return Problem(f"'{name[:40]}' is not known here", "the names that are described", "take it out", path)
    if kind == "value_error":  # as the command line tells of a word that is none of those allowed
        what, _, words = str(cause).rstrip(".").partition(" is not one of ")
        return Problem(f"{what} is not one of the words allowed here" if words else what,
                       words, "write one of them" if words else "write what is allowed here", path)  # fmt: skip
    what, mend = SAID.get(kind, ("{} is not what is asked here", "write what is allowed here"))
    return Problem(what.format(shown(error.get("input"))), allowed or str(error["msg"]), mend, path)


def shown(raw: Any) -> str:
    """What was written, short enough to print."""
    if raw is None:
        return "nothing"
    raw = str(raw).lower() if isinstance(raw, bool) else raw
    text = "a list" if isinstance(raw, (list, tuple)) else "a set of names" if isinstance(raw, dict) else f"'{raw}'"
    return text if len(text) <= 60 else text[:58] + "…'"
