"""Sets values out as a build file. What was assumed says so: a quantity beside its value, everything else in a comment."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, cast

from voltwright.quantity.yaml_text import scalar_text


@dataclass(frozen=True)
class Assumed:
    """A quantity that nobody has told, with the reason why this one was taken."""

    value: str
    note: str


@dataclass(frozen=True)
class Chosen:
    """A word, a count, a list of ratios or the id of a part that nobody has told, with the reason."""

    value: Any
    note: str


def set_out(tree: Mapping[str, Any]) -> str:
    """The text of a build file. What is absent (None) or empty is left out."""
    return "\n".join(_section(tree)) + "\n"


def _section(tree: Mapping[str, Any]) -> Iterator[str]:
    for name, value in tree.items():
        if value is None or value in ([], (), {}):
            continue
        if isinstance(value, Mapping):
            below = [f"  {line}" for line in _section(cast(Mapping[str, Any], value))]
            yield from [f"{name}:", *below] if below else []
        elif isinstance(value, list):
            yield f"{name}:"
            for each in cast(list[Mapping[str, Any]], value):
                first, *rest = _section(each)
                yield f"  - {first}"
                yield from (f"    {line}" for line in rest)
        else:
            yield f"{name}: {_leaf(value)}"


def _leaf(value: Any) -> str:
    if isinstance(value, Assumed):
        known = {"value": value.value, "how": "assumed", "source": "typical-practice", "note": value.note}
        return "{" + ", ".join(f"{name}: {scalar_text(each)}" for name, each in known.items()) + "}"
    if isinstance(value, Chosen):
        return f"{_plain(value.value)}  # assumed: {value.note}"
    return _plain(value)


def _plain(value: Any) -> str:
    if isinstance(value, (bool, int, str)):
        return scalar_text(value)
    if isinstance(value, Sequence):
        return "[" + ", ".join(_plain(each) for each in cast(Sequence[Any], value)) + "]"
    return f"{value:g}"


def about(value: float, unit: str, spread: float = 0.0) -> str:
    """A rough quantity with its spread, to three digits: `147 kg ± 30 kg`."""
    return f"{_three(value)} {unit} ± {_three(spread)} {unit}" if spread else f"{_three(value)} {unit}"


def _three(value: float) -> str:
    """Three digits that count, never as a power of ten."""
    text = f"{value:.3g}"
    return f"{float(text):.0f}" if "e+" in text else f"{value:.6f}".rstrip("0").rstrip(".") if "e-" in text else text
