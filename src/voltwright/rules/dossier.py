"""The dossier: all figures, findings and assumptions of one build, frozen."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from voltwright.assess.case import Case
from voltwright.assess.figures import figures_of, work_out
from voltwright.build.document import Build
from voltwright.build.reader import BuildFile, defaults
from voltwright.quantity.errors import FigureError, Problem
from voltwright.quantity.figure import Figure, fixed, unit_name, working
from voltwright.quantity.work import Node, evaluate
from voltwright.rules import cost, current, data, donor, drive, mass, monitoring, protection, space, voltage
from voltwright.rules.finding import ORDER, Assessed, Finding, all_rules

RULE_FILES = (
    cost,
    current,
    data,
    donor,
    drive,
    mass,
    monitoring,
    protection,
    space,
    voltage,
)  # imported so that their rules are registered

VERSION = "0.1.0"

# What a reader might take for granted. Until the first of these is worked out, no paper is for building.
NOT_JUDGED = (
    "whether fuse, cable, contactors and precharge suit the fault and load currents",
    "isolation resistance, creepage, bonding and the interlock loop",
    "consumption and range, heat of cells, motor and inverter, charging time, life",
    "brakes, shafts and axles under the new torque, mounting and crash",
)


@dataclass(frozen=True)
class Assumption:
    """A value that nobody measured: why it was taken, how to find out, and which figures it moves, those first that it moves most.

    `weight` is the sum over the figures of the share of their bands that it makes by itself.
    """

    path: str
    label: str
    value: str
    reason: str
    source: str
    measure: str
    moves: tuple[str, ...]
    weight: float


@dataclass(frozen=True)
class Dossier:
    """Everything that Voltwright has to say of one build."""

    build: Build
    figures: Mapping[str, Figure]
    findings: tuple[Finding, ...]
    assumptions: tuple[Assumption, ...]
    not_for_building: tuple[str, ...]
    not_judged: tuple[str, ...]
    fingerprint: str
    case: Case

    @property
    def has_stop(self) -> bool:
        return any(finding.severity == "stop" for finding in self.findings)

    def figure(self, key: str) -> Figure:
        """One figure. Raises FigureError naming the nearest key."""
        import difflib

        if key not in self.figures:
            near = difflib.get_close_matches(key, self.figures, n=3, cutoff=0.4)
            raise FigureError(
                Problem(
                    f"there is no figure '{key[:60]}'",
                    mend=f"ask for {' or '.join(near)}" if near else "see --json for all keys",
                )
            )
        return self.figures[key]

    def as_data(self) -> dict[str, Any]:
        """The public contract as plain data, ready for JSON."""
        known = {id(figure.node): key for key, figure in self.figures.items() if figure.node}
        return {
            "voltwright": VERSION,
            "title": self.build.title,
            "fingerprint": self.fingerprint,
            "figures": {key: _figure_data(figure, known) for key, figure in self.figures.items()},
            "findings": [dict(vars(finding)) for finding in self.findings],
            "assumptions": [dict(vars(each)) | {"moves": list(each.moves)} for each in self.assumptions],
            "not_for_building": list(self.not_for_building),
            "not_judged": list(self.not_judged),
        }


def _figure_data(figure: Figure, known: Mapping[int, str]) -> dict[str, Any]:
    others = {identity: key for identity, key in known.items() if key != figure.key}
    return {
        "value": _rounded(figure.value),
        "unit": unit_name(figure.unit),
        "low": _rounded(figure.low),
        "high": _rounded(figure.high),
        "label": figure.label,
        "printed": figure.printed(),
        "working": working(figure.node, others) if figure.node else None,
        "source": figure.source,
        "reason": figure.reason,
    }


def _rounded(value: float | None) -> float | None:
    """Ten digits: the same on every processor, and more than anybody measures."""
    return None if value is None else float(f"{value:.10g}")


def assess(built: BuildFile, *, with_bands: bool = True, system: str = "metric") -> Dossier:
    """Work out and judge a build. Pure: the same input gives the same dossier.

    `system` (metric, uk, us) sets the units in the words of the findings; figures and working do not depend on it.
    """
    case = Case(built.build, built.shelf)
    sheet = work_out(case)
    figures = figures_of(sheet, with_bands=with_bands)
    seen = Assessed(case, sheet, MappingProxyType(figures), system)
    findings = tuple(
        sorted((finding for rule in all_rules() for finding in rule(seen)), key=lambda f: (ORDER[f.severity], f.key))
    )
    return Dossier(
        built.build,
        MappingProxyType(figures),
        findings,
        assumptions_of(built.build, figures),
        _not_for_building(findings),
        NOT_JUDGED,
        _fingerprint(built, case),
        case,
    )


def _not_for_building(findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """Why the papers must not be built from: stops, weak data of protective parts, and what nobody has judged."""
    stops = tuple(finding.title for finding in findings if finding.severity == "stop")
    weak = tuple(finding.title for finding in findings if finding.key == "protection.data")
    return (*stops, *weak, "This version does not judge fuse, cable and precharge")


def assumptions_of(build: Build, figures: Mapping[str, Figure]) -> tuple[Assumption, ...]:
    """Every assumed value, those first that make most of the spread of the figures that they move."""
    measures = {default.path: default.measure for default in defaults()}
    found: dict[str, tuple[Node, list[str]]] = {}
    for key, figure in figures.items():
        for node in figure.node.walk() if figure.node else ():
            if node.is_leaf and node.origin and node.origin.how == "assumed":
                keys = found.setdefault(node.origin.where or node.label, (node, []))[1]
                keys += [] if key in keys else [key]
    listed = [_assumption(path, node, measures, keys, figures) for path, (node, keys) in found.items()]
    for path, entry in build.entries():
        if entry.is_assumed and path not in found:
            listed.append(_assumption(path, entry.node(path), measures, [], figures))
    return tuple(sorted(listed, key=lambda each: (-each.weight, -len(each.moves), each.path)))


def _assumption(
    path: str, node: Node, measures: Mapping[str, str], keys: list[str], figures: Mapping[str, Figure]
) -> Assumption:
    origin = node.origin
    assert origin is not None
    shares = {key: _share_of_band(figures[key], node) for key in keys}
    return Assumption(
        path,
        node.label,
        _printed(node),
        origin.reason,
        str(origin.source.short) if origin.source else "",
        measures.get(path, ""),
        tuple(sorted(keys, key=lambda key: -shares[key])),
        round(sum(shares.values()), 3),
    )


def _share_of_band(figure: Figure, leaf: Node) -> float:
    """How much of the width of a figure's band this leaf makes by itself."""
    if (
        figure.low is None
        or figure.high is None
        or figure.high <= figure.low
        or leaf.spread.is_exact
        or figure.node is None
    ):
        return 0.0
    ends = [float(evaluate(figure.node, {id(leaf): end})) for end in (leaf.spread.low, leaf.spread.high)]
    width = figure.unit.difference_from_si(abs(ends[1] - ends[0]))
    return min(1.0, width / (figure.high - figure.low))


def _printed(node: Node) -> str:
    def digits(value: float) -> str:
        return fixed(value, 3).rstrip("0").rstrip(".")

    unit = unit_name(node.unit)
    if node.spread.is_exact:
        return f"{digits(node.shown)} {unit}".strip()
    low, high = (node.unit.from_si(each) for each in (node.spread.low, node.spread.high))
    return f"{digits(node.shown)} {unit}".strip() + f" ({digits(low)} to {digits(high)})"


def _fingerprint(built: BuildFile, case: Case) -> str:
    """A hash of the canonical build, the datasheets used, and the version."""
    canonical = json.dumps(built.document.root, sort_keys=True, default=str)
    whole = "\n".join((VERSION, canonical, case.shelf.fingerprint(case.part_ids)))
    return hashlib.sha256(whole.encode()).hexdigest()
