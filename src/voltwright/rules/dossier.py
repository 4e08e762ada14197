"""The dossier: all figures, findings and assumptions of one build, frozen."""

from __future__ import annotations

import hashlib
import importlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from functools import cached_property
from types import MappingProxyType
from typing import Any, cast

from voltwright.assess.case import Case
from voltwright.assess.figures import figures_of, work_out
from voltwright.assess.sheet import Sheet
from voltwright.build.document import Build
from voltwright.build.reader import BuildFile
from voltwright.quantity.band import NO_SPREADS, Spreads, spreads
from voltwright.quantity.errors import FigureError, Problem
from voltwright.quantity.figure import Figure, unit_name, working
from voltwright.rules.assumptions import Assumption, assumptions_of
from voltwright.rules.finding import ORDER, Assessed, Finding
from voltwright.rules.rule import all_rules
from voltwright.rules.search import searched

RULE_FILES = (
    "brakes", "carrying", "charge", "contradictions", "cost", "countries", "current", "data", "drive", "electrics", "feed", "gears",
    "grip", "guesses", "habit", "heat", "holding", "isolation", "life", "low_voltage", "mass", "modules", "monitoring", "mounts", "pairing",
    "protection", "ratings", "regeneration", "reverse", "reversibility", "road", "routes", "shafts", "shifting", "space", "strings",
    "towing", "tyres", "voltage",
)  # fmt: skip
for each in RULE_FILES:  # a rule registers itself when its file is read
    importlib.import_module(f"voltwright.rules.{each}")

VERSION = "0.1.0"

# What a reader might take for granted. Until the first of these is worked out, no paper is for building.
NOT_JUDGED = (
    "whether fuse, cable, contactors and precharge suit the fault currents",
    "isolation resistance, creepage, bonding and the interlock loop",
    "mounting of the boxes, crash, and the state of the old brakes",
)


@dataclass(frozen=True)
class Dossier:
    """Everything that Voltwright has to say of one build.

    `judged_on`: the day by which the age of rule data and of the car is judged; None where no day was named. `sheet` has the
    trees of the figures, `system` the units of the words.
    """

    build: Build
    figures: Mapping[str, Figure]
    findings: tuple[Finding, ...]
    not_for_building: tuple[str, ...]
    not_judged: tuple[str, ...]
    fingerprint: str
    case: Case
    sheet: Sheet = field(repr=False)
    spreads: Spreads = field(repr=False)
    system: str = "metric"
    judged_on: date | None = None

    @cached_property
    def assumptions(self) -> tuple[Assumption, ...]:
        """What nobody measured, worked out when it is asked for."""
        return assumptions_of(self.build, self.figures, self.system)

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
            "judged_on": self.judged_on.isoformat() if self.judged_on else None,
            "figures": _figures_data(self.figures, known),
            "findings": [finding.as_data() for finding in self.findings],
            "assumptions": [dict(vars(each)) | {"moves": list(each.moves)} for each in self.assumptions],
            "not_for_building": list(self.not_for_building),
            "not_judged": list(self.not_judged),
        }

    def as_json(self) -> str:
        """The same as text: a line for each figure, finding and assumption."""
        return as_json(self.as_data())


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def as_json(data: Mapping[str, Any]) -> str:
    """Data as text, a line for each item of the second level."""
    fields = (f" {_json(name)}: {_lined(value)}" for name, value in data.items())
    return "{\n" + ",\n".join(fields) + "\n}"


def _lined(value: Any) -> str:
    if isinstance(value, dict):
        pairs = cast(dict[str, Any], value).items()
        return "{\n" + ",\n".join(f"  {_json(name)}: {_json(each)}" for name, each in pairs) + "\n }"
    if isinstance(value, list) and value:
        return "[\n" + ",\n".join(f"  {_json(each)}" for each in cast(list[Any], value)) + "\n ]"
    return _json(value)


def _figures_data(figures: Mapping[str, Figure], known: dict[int, str]) -> dict[str, Any]:
    """Each figure; what many share, such as the simulated car, stands in the first and is named by its key in the others."""
    result: dict[str, Any] = {}
    for key, figure in figures.items():
        result[key] = _figure_data(figure, known)
        for node in figure.node.walk() if figure.node else ():
            if not node.is_leaf and not isinstance(node.value, (int, float, Decimal)):
                known.setdefault(id(node), key)
    return result


def _figure_data(figure: Figure, known: Mapping[int, str]) -> dict[str, Any]:
    others = {identity: key for identity, key in known.items() if key != figure.key}
    return {
        "value": rounded(figure.value),
        "unit": unit_name(figure.unit),
        "low": rounded(figure.low),
        "high": rounded(figure.high),
        "label": figure.label,
        "printed": figure.printed(),
        "working": working(figure.node, others) if figure.node else None,
        "source": figure.source,
        "reason": figure.reason,
    }


def rounded(value: float | None) -> float | None:
    """Ten digits: the same on every processor, and more than anybody measures."""
    return None if value is None else float(f"{value:.10g}")


def assess(
    built: BuildFile,
    *,
    with_bands: bool = True,
    system: str = "metric",
    today: date | None = None,
    search: bool = True,
    beside: Dossier | None = None,
    known: Dossier | None = None,
) -> Dossier:
    """Work out and judge a build. Pure: the same input gives the same dossier.

    `system` (metric, uk, us) sets the units in the words of the findings; figures and working do not depend on it.
    `today` judges how old rule data are; without it their age is not judged. `search`: look for remedies. `beside`: of the
    build of which this one is a variant; what is unsure in both is the same in both. `known`: of the same build, of which less
    was asked; what is in it is not worked out again.
    """
    case = _case_of(built, known)
    sheet = known.sheet if known else work_out(case)
    sure = known.spreads if known else NO_SPREADS
    if with_bands and sure is NO_SPREADS:
        sure = spreads(sheet.nodes, beside=beside.spreads if beside else NO_SPREADS)
    figures = known.figures if known and sure is known.spreads else MappingProxyType(figures_of(sheet, sure))
    findings = _findings(Assessed(case, sheet, figures, system, sure, today=today), search=search)
    return Dossier(
        built.build,
        figures,
        findings,
        _not_for_building(findings),
        NOT_JUDGED,
        known.fingerprint if known else fingerprint_of(built),
        case,
        sheet,
        sure,
        system,
        today,
    )


def _case_of(built: BuildFile, known: Dossier | None) -> Case:
    """The case that was worked on; a search looks at the shelf as it is now."""
    if known is None:
        return Case(built.build, built.shelf, built.beside)
    if built.shelf is known.case.shelf:
        return known.case
    made = replace(known.case, shelf=built.shelf)
    made.leaves.update(known.case.leaves)
    made.worked.update(known.case.worked)
    return made


def _findings(seen: Assessed, *, search: bool) -> tuple[Finding, ...]:
    """What all rules find, the worst first."""
    heard = [(rule, list(rule(seen))) for rule in all_rules()]
    found = searched(heard, seen) if search else (each for _, here in heard for each in here)
    return tuple(sorted(found, key=lambda finding: (ORDER[finding.severity], finding.key)))


def _not_for_building(findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """Why the papers must not be built from: stops, weak data of protective parts, and what nobody has judged."""
    stops = tuple(finding.title for finding in findings if finding.severity == "stop")
    weak = tuple(finding.title for finding in findings if finding.key == "protection.data")
    return (*stops, *weak, "This version does not judge fuse, cable and precharge")


def fingerprint_of(built: BuildFile) -> str:
    """A hash of the canonical build, the datasheets and files used, and the version."""
    return _hash("\n".join((VERSION, built.canonical, *_used(built))))


def fingerprint_of_used(built: BuildFile) -> str:
    """A hash of the datasheets and files that a build uses."""
    return _hash("\n".join(_used(built)))


def _used(built: BuildFile) -> tuple[str, str]:
    case = Case(built.build, built.shelf, built.beside)
    return json.dumps(dict(built.beside.hashes), sort_keys=True), case.shelf.fingerprint(case.part_ids)


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
