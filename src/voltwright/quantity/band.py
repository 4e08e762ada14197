"""Bands: the tree that gave a value, reworked over a fixed sequence of samples of all that is not sure."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from voltwright.quantity.spread import HALF_WIDTH_IN_SIGMA
from voltwright.quantity.work import Node, evaluate

SAMPLES = 256
SEED = 1729


def unsure_leaves(nodes: Iterable[Node]) -> list[Node]:
    """Every leaf with a spread, once, in the order of where it stands in the build."""
    found: dict[int, Node] = {}
    for node in nodes:
        for each in node.walk():
            if each.is_leaf and not each.spread.is_exact:
                found[id(each)] = each
    return sorted(found.values(), key=lambda leaf: (leaf.origin.where if leaf.origin else "", leaf.label))


def draw(leaves: list[Node], samples: int = SAMPLES) -> dict[int, Any]:
    """Samples for each leaf from a scrambled Sobol sequence of a fixed seed."""
    if not leaves:
        return {}
    from scipy.special import ndtri  # pyright: ignore[reportMissingTypeStubs]
    from scipy.stats import qmc  # pyright: ignore[reportMissingTypeStubs]

    points = qmc.Sobol(d=len(leaves), scramble=True, rng=np.random.default_rng(SEED)).random(samples)
    return {id(leaf): _spread_out(leaf, points[:, column], ndtri) for column, leaf in enumerate(leaves)}


def _spread_out(leaf: Node, share: Any, ndtri: Any) -> Any:
    low, high = leaf.spread.low, leaf.spread.high
    if leaf.spread.kind == "between":
        return low + (high - low) * share
    sigma = (high - low) / 2 / HALF_WIDTH_IN_SIGMA
    return (low + high) / 2 + sigma * ndtri(np.clip(share, 1e-9, 1 - 1e-9))


def bands(nodes: dict[str, Node], samples: int = SAMPLES) -> dict[str, tuple[float, float]]:
    """5 % and 95 % points (SI) of every node that depends on something unsure."""
    draws = draw(unsure_leaves(nodes.values()), samples)
    result: dict[str, tuple[float, float]] = {}
    for key, node in nodes.items():
        if not any(id(each) in draws for each in node.walk()):
            continue
        values = np.asarray(evaluate(node, draws), dtype=float)
        low, high = np.percentile(values, [5, 95])
        if np.isfinite(low) and np.isfinite(high):
            result[key] = (float(low), float(high))
    return result
