"""What nobody measured: how much of the spread of the figures it makes, and what finding it out would be worth."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from voltwright.build.document import Build
from voltwright.build.reader import defaults
from voltwright.quantity.band import place_of
from voltwright.quantity.figure import Figure, fixed, unit_name
from voltwright.quantity.work import Node, in_order, marks_below

# What the workshop promises, first things first. A key stands for its family: `road.range` for the range of every trip.
HEADLINES = (
    "road.range", "road.consumption", "road.time_0_100", "road.top_speed", "mass.kerb", "mass.front_axle_laden",
    "mass.rear_axle_laden", "mass.cg_height", "pack.energy_usable", "pack.power_peak", "drive.power_peak", "heat.headroom",
    "charge.time_full", "life.years_to_80", "cost.price",
)  # fmt: skip
LEAST_SHARE = 0.1  # knowing a tenth of the variance narrows a band by a twentieth: less is not worth a sentence

SURE_DIGITS = 2  # what a share from the samples is good for; further digits would rank by chance


@dataclass(frozen=True)
class Assumption:
    """A value that nobody measured: why it was taken, how to find out, and which figures it moves, those first that it moves most.

    `weight` is the sum over the figures of the share of their variance that it makes by itself; `worth` says in words how
    far a band would narrow if it were known.
    """

    path: str
    label: str
    value: str
    reason: str
    source: str
    measure: str
    moves: tuple[str, ...]
    weight: float
    worth: str


def assumptions_of(build: Build, figures: Mapping[str, Figure], system: str = "metric") -> tuple[Assumption, ...]:
    """Every assumed value, those first that make most of the variance of the figures that they move."""
    measures = {default.path: default.measure for default in defaults()}
    found = {path: _assumption(path, node, measures, keys, figures) for path, (node, keys) in _moved(figures).items()}
    for path, entry in build.entries():
        if entry.is_assumed and path not in found:
            found[path] = _assumption(path, entry.node(path), measures, [], figures)
    ranked = sorted(found.values(), key=lambda each: (-each.weight, -len(each.moves), each.path))
    return tuple(replace(each, worth=_worth(each, ranked, figures, system)) for each in ranked)


def _moved(figures: Mapping[str, Figure]) -> dict[str, tuple[Node, list[str]]]:
    """Each assumed input by its place, with the keys of the figures that are worked from it."""
    roots = {key: figure.node for key, figure in figures.items() if figure.node}
    order = in_order(roots.values())
    found: dict[str, Node] = {}
    for node in order:
        if node.is_leaf and node.origin and node.origin.how == "assumed":
            found.setdefault(place_of(node), node)
    bits = {place: 1 << number for number, place in enumerate(found)}
    assumed = {id(node): bits[place_of(node)] for node in order if node.is_leaf and place_of(node) in bits}
    below = marks_below(order, assumed)
    return {
        place: (node, [key for key, root in roots.items() if below[id(root)] & bits[place]])
        for place, node in found.items()
    }


def _assumption(
    path: str, node: Node, measures: Mapping[str, str], keys: list[str], figures: Mapping[str, Figure]
) -> Assumption:
    origin = node.origin
    assert origin is not None
    shares = {key: figures[key].shares.get(path, 0.0) for key in keys}
    # What is assumed where it is needed says in one line why, and after a semicolon how to find out.
    reason, _, measure = (origin.reason, "", "") if path in measures else origin.reason.partition("; ")
    return Assumption(
        path,
        node.label,
        _printed(node),
        reason,
        str(origin.source.short) if origin.source else "",
        measures.get(path, "") or measure,
        tuple(sorted(keys, key=lambda key: -round(shares[key], SURE_DIGITS))),
        round(sum(shares.values(), 0.0), SURE_DIGITS),
        "",
    )


def _worth(one: Assumption, ranked: list[Assumption], figures: Mapping[str, Figure], system: str) -> str:
    """How far the headline figure that it moves most would narrow; said once for all that one measurement finds out."""
    if not one.weight:
        return ""
    together = [each for each in ranked if each == one or (one.measure and each.measure == one.measure and each.weight)]
    first, *others = together
    if first != one:
        return f"It is found out together with “{first.label}”: see there."
    names = " and ".join(f"“{each.label}”" for each in others)
    known = f"If it were known together with {names}" if names else "If it were known"
    shares = {key: sum(figure.shares.get(each.path, 0.0) for each in together) for key, figure in figures.items()}
    headlines = [key for each in HEADLINES for key in figures if key == each or key.startswith(f"{each}.")]
    for keys in (headlines, list(figures)):
        key = max(keys, key=lambda each: round(shares[each], 1), default="")
        if not key or shares[key] < LEAST_SHARE:
            continue
        bands = _narrowed(figures[key], min(1.0, shares[key]), system)
        if bands[0] != bands[1]:
            return f"{known}, the band of “{figures[key].label}” would narrow from {bands[0]} down to {bands[1]}."
    return f"{known}, no band would narrow much."


def _narrowed(figure: Figure, share: float, system: str) -> tuple[str, str]:
    """The band as it is, and with each half scaled by the root of the variance that is left."""
    if figure.value is None or figure.low is None or figure.high is None:
        return "", ""
    left = math.sqrt(1 - share)
    middle = min(max(figure.value, figure.low), figure.high)
    after = replace(figure, low=middle - (middle - figure.low) * left, high=middle + (figure.high - middle) * left)
    return _band_with_unit(figure, system), _band_with_unit(replace(after, value=middle), system)


def _band_with_unit(figure: Figure, system: str) -> str:
    band = figure.printed_band(system)
    return f"{band} {unit_name(figure.shown_unit(system))}".strip() if band else figure.printed(system)


def _printed(node: Node) -> str:
    def digits(value: float) -> str:
        return fixed(value, 3).rstrip("0").rstrip(".")

    unit = unit_name(node.unit)
    if node.spread.is_exact:
        return f"{digits(node.shown)} {unit}".strip()
    low, high = (node.shown_of(each) for each in (node.spread.low, node.spread.high))
    return f"{digits(node.shown)} {unit}".strip() + f" ({digits(low)} to {digits(high)})"
