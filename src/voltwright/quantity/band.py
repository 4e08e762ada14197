"""Bands: the trees that gave the values, reworked over a fixed sequence of samples of all that is not sure."""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

import numpy as np

from voltwright.quantity.sensitivity import Floats, sensitivities
from voltwright.quantity.spread import HALF_WIDTH_IN_SIGMA, Spread
from voltwright.quantity.work import Node, evaluate_all, in_order, marks_below

SAMPLES = 256
SEED = 1729
BLOCK = 256  # columns drawn at once: up to so many, the draws of one input do not depend on how many others there are

Name = tuple[str, str, int]  # an unsure input: its place, its label, and which of those that share both


@dataclass(frozen=True)
class Spreads:
    """How sure each value is, by key.

    `low`, `high`: 5 and 95 % points (SI). `shares`: the part of its variance that each unsure input makes by itself, by
    the input's place. `reasons`: why a value that depends on something unsure has no band. `cases`: samples of the value, the
    likely cases (SI), NaN where a case has no such value.
    """

    low: Mapping[str, float]
    high: Mapping[str, float]
    shares: Mapping[str, Mapping[str, float]]
    reasons: Mapping[str, str]
    cases: Mapping[str, Floats]
    columns: Mapping[Name, int] = field(default_factory=dict[Name, int])

    def band(self, key: str) -> tuple[float, float] | None:
        """Both ends, or nothing where the value is exact or has no band."""
        return (self.low[key], self.high[key]) if key in self.low else None


NO_SPREADS = Spreads({}, {}, {}, {}, {})


@dataclass(frozen=True)
class Unsure:
    """One unsure input: all leaves that say the same are one, and move together."""

    place: str
    spread: Spread
    leaves: tuple[Node, ...]


def place_of(leaf: Node) -> str:
    """Where an input stands in the build; its label where it stands nowhere."""
    return (leaf.origin.where if leaf.origin else "") or leaf.label


def unsure_inputs(order: Iterable[Node]) -> list[Unsure]:
    """Every input with a spread once, in the order of where it stands, whatever the order of the trees."""
    found: dict[Any, list[Node]] = {}
    for node in order:
        if node.is_leaf and not node.spread.is_exact:
            where, spread = (node.origin.where if node.origin else ""), node.spread
            same = (where, node.label, node.unit.spelling, spread.low, spread.high, spread.kind)
            found.setdefault(same, []).append(node)
    return [Unsure(place_of(leaves[0]), leaves[0].spread, tuple(leaves)) for _, leaves in sorted(found.items())]


def scores(inputs: int, samples: int) -> Floats:
    """For each sample (row) and input (column) the share of cases that lie below: a scrambled Sobol sequence of a fixed seed."""
    return _drawn(-(-inputs // BLOCK), samples)[:, :inputs]


@functools.lru_cache(maxsize=4)
def _drawn(blocks: int, samples: int) -> Floats:
    from scipy.stats import qmc  # pyright: ignore[reportMissingTypeStubs]

    drawn = qmc.Sobol(d=blocks * BLOCK, scramble=True, rng=np.random.default_rng(SEED)).random(samples)
    drawn.flags.writeable = False  # everybody has the same
    return drawn


def columns_of(inputs: Iterable[Unsure], taken: Mapping[Name, int]) -> dict[Name, int]:
    """A column of the draws for each input: the one that it took before, or else a free one."""
    times: dict[tuple[str, str], int] = {}
    columns: dict[Name, int] = {}
    free = len(taken)
    for each in inputs:
        same = (each.place, each.leaves[0].label)
        name = (*same, times.setdefault(same, 0))
        times[same] += 1
        columns[name] = taken.get(name, free)
        free += name not in taken
    return columns


def standard(score: Floats, spread: Spread) -> Floats:
    """Samples of an input as it is usually tabulated: from -1 to 1, or in standard deviations from the middle."""
    if spread.kind == "between":
        return 2 * score - 1
    from scipy.special import ndtri  # pyright: ignore[reportMissingTypeStubs]

    result: Any = ndtri(np.clip(score, 1e-9, 1 - 1e-9))
    return result


def _spread_out(spread: Spread, score: Floats, standards: Floats) -> Floats:
    if spread.kind == "between":
        return spread.low + (spread.high - spread.low) * score
    sigma = (spread.high - spread.low) / 2 / HALF_WIDTH_IN_SIGMA
    return np.clip((spread.low + spread.high) / 2 + sigma * standards, spread.least, spread.most)


def spreads(nodes: Mapping[str, Node], samples: int = SAMPLES, beside: Spreads = NO_SPREADS) -> Spreads:
    """Band and shares of every number that depends on something unsure.

    `beside`: of another build, of which this one is a variant; what is unsure in both takes the same draws, so that sample by
    sample the two are one car.
    """
    numbers = {key: node for key, node in nodes.items() if isinstance(node.value, (int, float, Decimal))}
    order = in_order(numbers.values())
    inputs = unsure_inputs(order)
    bits = {id(leaf): 1 << column for column, each in enumerate(inputs) for leaf in each.leaves}
    below = marks_below(order, bits)
    moved = {key: node for key, node in numbers.items() if below[id(node)]}
    if not moved:
        return NO_SPREADS
    columns = columns_of(inputs, beside.columns)
    score = scores(max(columns.values()) + 1, samples)[:, list(columns.values())]
    standards = np.stack([standard(score[:, column], each.spread) for column, each in enumerate(inputs)], axis=1)
    values = _reworked(moved, inputs, score, standards)
    low, high, reasons = _ends(tuple(moved), values)
    depends = np.array([[below[id(node)] >> column & 1 for column in range(len(inputs))] for node in moved.values()])
    normal = np.array([each.spread.kind == "normal" for each in inputs])
    shares = sensitivities(standards, normal, values, depends)
    by_key = dict(zip(moved, shares, strict=True))
    cases = dict(zip(moved, values, strict=True))
    return Spreads(low, high, {key: _by_place(inputs, by_key[key]) for key in low}, reasons, cases, columns)


def _reworked(nodes: Mapping[str, Node], inputs: list[Unsure], score: Floats, standards: Floats) -> Floats:
    """Samples (columns) of each node (row)."""
    columns = [_spread_out(each.spread, score[:, at], standards[:, at]) for at, each in enumerate(inputs)]
    draws = {id(leaf): column for each, column in zip(inputs, columns, strict=True) for leaf in each.leaves}
    with np.errstate(divide="ignore", invalid="ignore"):  # a sample without a value is counted below
        found = evaluate_all(nodes, draws).values()
    return np.array([np.broadcast_to(np.asarray(each, dtype=float), len(score)) for each in found])


def _draws(inputs: list[Unsure], beside: Spreads, samples: int) -> dict[int, Floats]:
    """Samples of each leaf (by id), those of `beside` where an input is unsure there too."""
    columns = columns_of(inputs, beside.columns)
    score = scores(max(columns.values(), default=0) + 1, samples)[:, list(columns.values())]
    return {
        id(one): _spread_out(each.spread, score[:, at], standard(score[:, at], each.spread))
        for at, each in enumerate(inputs)
        for one in each.leaves
    }


def likely_cases(node: Node, beside: Spreads = NO_SPREADS, samples: int = SAMPLES) -> Any:
    """A node, such as a record of many results, reworked once over samples of all that is unsure; as it is where nothing is."""
    inputs = unsure_inputs(in_order([node]))
    if not inputs:
        return node.value
    with np.errstate(divide="ignore", invalid="ignore"):
        return evaluate_all({"": node}, _draws(inputs, beside, samples))[""]


def bands_along(
    node: Node, leaf: Node, places: Iterable[float], beside: Spreads = NO_SPREADS, samples: int = SAMPLES
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """The 5 and the 95 % points (SI) of a number while one of its leaves, then sure, stands at each of the places (SI).

    All else that is unsure takes the draws of `beside`. NaN where a place has no band.
    """
    inputs = [each for each in unsure_inputs(in_order([node])) if leaf not in each.leaves]
    known = _draws(inputs, beside, samples)
    low, high = list[float](), list[float]()
    for place in places:
        with np.errstate(divide="ignore", invalid="ignore"):
            found = evaluate_all({"": node}, known | {id(leaf): np.full(samples, place)})[""]
        lows, highs, _ = _ends(("",), np.asarray(found, dtype=float)[None, :])
        low.append(lows.get("", math.nan))
        high.append(highs.get("", math.nan))
    return tuple(low), tuple(high)


def _ends(keys: tuple[str, ...], values: Floats) -> tuple[dict[str, float], dict[str, float], dict[str, str]]:
    """The ends of each band; a sample without a value counts as the worst on either side.

    So a few widen the band, and more than 5 % of them leave it without ends; then the reason is said.
    """
    nowhere = np.isnan(values)
    with np.errstate(invalid="ignore"):
        low = np.percentile(np.where(nowhere, -np.inf, values), 5, axis=1)
        high = np.percentile(np.where(nowhere, np.inf, values), 95, axis=1)
    lows: dict[str, float] = {}
    highs: dict[str, float] = {}
    reasons: dict[str, str] = {}
    for row, key in enumerate(keys):
        if np.isfinite(low[row]) and np.isfinite(high[row]):
            lows[key], highs[key] = float(low[row]), float(high[row])
        else:
            missing = np.count_nonzero(~np.isfinite(values[row])) / values.shape[1]
            reasons[key] = f"no band: in {100 * missing:.0f} of 100 likely cases there is no such value"
    return lows, highs, reasons


def _by_place(inputs: list[Unsure], shares: Floats) -> dict[str, float]:
    result: dict[str, float] = {}
    for each, share in zip(inputs, shares, strict=True):
        if share > 0:
            result[each.place] = result.get(each.place, 0.0) + float(share)
    return result
