"""The first page: what the build is, whether it may be built, how the car looks, what it weighs, gives and costs."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.papers.asked_first import asked_first
from voltwright.papers.cautions import IN_FULL, MARK_WORDS, NOT_JUDGED, SHORT
from voltwright.papers.inert import shortened
from voltwright.papers.nodes import Callout, Drawing, FigureRow, FindingLines, Headline, Node, TitleBlock
from voltwright.papers.side_view import side_view
from voltwright.quantity.figure import NO_FIGURE, Figure
from voltwright.rules.dossier import VERSION, Dossier
from voltwright.rules.finding import Finding, Severity

SHOWN_DIGITS = 12
MOST_LINES = 4
Group = tuple[str, tuple[tuple[str, str], ...]]
_MASS: Group = ("Mass", (
    ("mass.kerb", "Kerb"), ("mass.laden", "Laden"), ("mass.front_axle_laden", "Front axle, laden"),
    ("mass.rear_axle_laden", "Rear axle, laden"), ("mass.payload_left", "Payload left"),
))  # fmt: skip
_BATTERY: Group = ("Battery", (
    ("pack.voltage_full", "Full voltage"), ("pack.energy_usable", "Usable energy"),
    ("pack.power_peak", "Pack power, 10 s"), ("pack.power_empty_cold", "Power empty, cold"),
    ("pack.full_power_lost_below", "No full power below"),
))  # fmt: skip


def groups(dossier: Dossier) -> tuple[Group, ...]:
    """The headline figures: key and short label of each; no more than the page has room for."""
    taxed = dossier.figures["cost.price_with_tax"].value is not None
    price = ("cost.price_with_tax", "Price with tax") if taxed else ("cost.price", "Price without tax")
    return ("On the road, and price", (*asked_first(dossier), price)), _MASS, _BATTERY


def summary(dossier: Dossier, date: str | None, system: str) -> Iterator[Node]:
    """The nodes of page 1."""
    yield title_block(dossier, date)
    if dossier.not_for_building:
        yield Callout("stop", MARK_WORDS, lines=(". ".join(dossier.not_for_building) + ".",))
    yield Drawing(side_view(dossier, system), "")
    yield headline(dossier, system)
    yield finding_lines(dossier.findings)
    yield Callout("caution", "Before you touch anything", lines=(*SHORT, IN_FULL))
    if dossier.not_judged:
        yield Callout("note", NOT_JUDGED, lines=dossier.not_judged)


def title_block(dossier: Dossier, date: str | None) -> TitleBlock:
    build = dossier.build
    fields = (
        (
            "Donor",
            build.donor.title
            if str(build.donor.year) in build.donor.title
            else f"{build.donor.title}, {build.donor.year}",
        ),
        ("Customer", build.brief.customer or "not named"),
        ("Workshop", build.workshop or "not named"),
        ("Date", date or "no date"),
        ("Revision", dossier.fingerprint[:SHOWN_DIGITS]),
        ("Worked by", f"Voltwright {VERSION}"),
    )
    return TitleBlock(build.title, fields)


def figure_row(figure: Figure, system: str, label: str = "") -> FigureRow:
    """A figure with number and unit apart, so that they can stand in columns."""
    value, _, unit = figure.printed(system).partition(" ") if figure.value is not None else (NO_FIGURE, "", "")
    return FigureRow(figure.key, label or figure.label, value, unit, figure.printed_band(system), figure.reason)


def headline(dossier: Dossier, system: str) -> Headline:
    return Headline(
        tuple(
            (
                title,
                tuple(figure_row(dossier.figures[key], system, label) for key, label in keys if key in dossier.figures),
            )
            for title, keys in groups(dossier)
        )
    )


def finding_lines(findings: tuple[Finding, ...]) -> FindingLines:
    """Each finding in one line; all that stop, and as many of the others as the page has room for."""
    stops = sum(each.severity == "stop" for each in findings)
    room = max(stops, MOST_LINES) if len(findings) > MOST_LINES + 1 else len(findings)
    lines: list[tuple[Severity, str, str]] = [(each.severity, each.title, _against(each)) for each in findings[:room]]
    if len(findings) > room:
        lines.append((findings[room].severity, f"{len(findings) - room} more in section 1, Findings", ""))
    return FindingLines(tuple(lines))


def _against(finding: Finding) -> str:
    """Value against limit, where both are short."""
    pieces = [piece for piece in (finding.value, f"limit {finding.limit}" if finding.limit else None) if piece]
    return shortened(", ".join(pieces), 60)
