"""A figure: one number for people, with its unit, band, working and source."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from voltwright.quantity.units import WITHOUT_CENTS, Unit, preferred
from voltwright.quantity.work import Node

Working = dict[str, Any]
PER_CENT = Unit("%")
GAP = "\u00a0"  # parts thousands; the narrower one of Unicode is not in the font of the papers
GAP_FROM = 10_000
A_YEAR = "year"  # the only unit that is a word of English
SMALL_MONEY = 10  # of any money: below, the cents are most of it
WHOLE_FROM = 1000  # of any money: cents of more say nothing to a customer
CENTS_SAY_NOTHING = 0.01  # of the amount, as the width of its band
NO_FIGURE = "no figure"  # where something is not known, and where the car cannot do it: the reason says which


@dataclass(frozen=True)
class Figure:
    """`value` is in `unit`, or null with the `reason` why there is none; `low`, `high` are the 5 and 95 % points.

    `share`: it is a part of a whole, which people read in per cent. `answer`: what 0, 1 and so on stand for. `shares`: the part of the
    variance that each unsure input makes, by its place in the build. A value whose band has no ends gives the reason of that.
    """

    key: str
    label: str
    unit: Unit
    decimals: int
    value: float | None
    node: Node | None = None
    low: float | None = None
    high: float | None = None
    reason: str = ""
    shares: Mapping[str, float] = field(default_factory=dict[str, float])
    share: bool = False
    answer: tuple[str, ...] = ()

    def printed(self, system: str = "metric") -> str:
        """The value as people read it."""
        if self.value is None:
            return NO_FIGURE
        if self.answer:
            return self.answer[round(self.value)]
        return amount(self.value, self.unit, self._decimals, system, self.share)

    @property
    def _decimals(self) -> int:
        """Money of some size without cents where the band is so wide that they would say nothing."""
        if not self.unit.is_money or self.value is None or self.low is None or self.high is None:
            return self.decimals
        is_unsure = self.high - self.low > CENTS_SAY_NOTHING * abs(self.value)
        return 0 if is_unsure and abs(self.value) >= SMALL_MONEY else self.decimals

    def shown_unit(self, system: str = "metric") -> Unit:
        """The unit in which the system of units prints it."""
        return _shown(self.unit, self.decimals, system, self.share)

    def printed_band(self, system: str = "metric") -> str:
        """`low to high`, or nothing where the value is exact."""
        if self.low is None or self.high is None:
            return ""
        if self.answer:
            between = self.answer[math.floor(self.low) : math.ceil(self.high) + 1]
            return " or ".join(reversed(between)) if len(between) > 1 else ""
        shown = self.shown_unit(system)
        most = max(abs(self.low), abs(self.high))
        decimals = decimals_of(most, self.unit, 0 if self.unit.is_money and most >= SMALL_MONEY else self.decimals)
        low, high = (_number(each, self.unit, shown, decimals) for each in (self.low, self.high))
        return f"{low} to {high}" if low != high else ""

    @property
    def source(self) -> str:
        """The source of the law that gives the figure."""
        law = self.node.law if self.node else None
        return str(law.source) if law and law.source else ""


def amount(value: float, unit: Unit, decimals: int, system: str, share: bool = False) -> str:
    """A value in `unit` as the system of units shows it, with as many decimals as are worth the same; a share in per cent."""
    shown = _shown(unit, decimals, system, share)
    number = _number(value, unit, shown, decimals_of(value, unit, decimals))
    return f"{number} {unit_name(shown)}{'s' if shown.spelling == A_YEAR and number != '1' else ''}".strip()


def decimals_of(value: float, unit: Unit, decimals: int) -> int:
    """As many decimals as an amount is printed with: money from a thousand up without cents."""
    if unit.spelling in WITHOUT_CENTS or (unit.is_money and abs(value) >= WHOLE_FROM):
        return 0
    return decimals


def money(value: float, unit: Unit) -> str:
    """An amount of money with its code, as people read it."""
    return amount(value, unit, 2, "metric")


def to_the_cent(value: float, unit: Unit) -> str:
    """An amount of money of any size as it stands in a bill, whose lines must add up."""
    return f"{fixed(value, 0 if unit.spelling in WITHOUT_CENTS else 2)} {unit_name(unit)}"


def difference(value: float, unit: Unit, decimals: int, system: str, share: bool = False) -> str:
    """A difference in `unit`, with its sign, as the system of units shows it; of shares in points of a hundred."""
    shown = _shown(unit, decimals, system, share)
    other, step = (
        shown.difference_from_si(unit.difference_to_si(each))
        for each in (value, 10.0 ** -decimals_of(value, unit, decimals))
    )
    text = fixed(other, max(0, -round(math.log10(abs(step)))))
    rises = value > 0 and any(digit in "123456789" for digit in text)
    name = "percentage points" if share else unit_name(shown)  # 20 % less of a share could also be a fifth of it
    return f"{'+' if rises else ''}{text} {name}".strip()


def _shown(unit: Unit, decimals: int, system: str, share: bool) -> Unit:
    """What the system shows; lengths told in whole metres are those of roads and hills, not of cars."""
    return PER_CENT if share else preferred(unit, system, tall=not decimals)


def unit_name(unit: Unit) -> str:
    return "" if unit.spelling == "1" else unit.spelling


def _number(value: float, unit: Unit, shown: Unit, decimals: int) -> str:
    if shown.spelling == unit.spelling:
        return fixed(value, decimals)
    other = shown.from_si(unit.to_si(value))
    step = shown.difference_from_si(unit.difference_to_si(10.0**-decimals))
    return fixed(other, max(0, -round(math.log10(abs(step)))))


def fixed(value: float, decimals: int) -> str:
    """With so many decimals, half away from zero, a true minus, and no minus before zero.

    From five digits on a gap that does not break parts the thousands; four stand together (SI Brochure, 9th edition, 5.4.4;
    from memory).
    """
    rounded = Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)
    text = f"{abs(rounded):,f}".replace(",", GAP if abs(rounded) >= GAP_FROM else "")
    return f"−{text}" if rounded < 0 else text


GUARD_DIGITS = 8


def guarded(value: float) -> str:
    """A number of a working: enough digits that the figure can be recomputed from it."""
    return f"{value:.{GUARD_DIGITS}g}"


FEW_DIGITS = 4


def few(value: float, *, exact: bool = False) -> str:
    """A number of a working as people read it: four digits and every whole one, or all of what is exact."""
    if exact or value == 0 or not math.isfinite(value):
        return guarded(value).replace("-", "−")
    after = FEW_DIGITS - 1 - math.floor(math.log10(abs(value)))
    if after > FEW_DIGITS + 2:
        return f"{value:.{FEW_DIGITS}g}".replace("-", "−")
    text = fixed(value, max(0, after))
    return text.rstrip("0").rstrip(".") if "." in text else text


def working(node: Node, figures: Mapping[int, str] | None = None) -> Working:
    """The tree of a node as plain data. `figures` maps id(node) to the key of a figure shown elsewhere."""
    known = figures or {}
    result: Working = {"label": node.label, "symbol": node.symbol}
    if isinstance(node.value, (float, int, Decimal)):
        is_exact = isinstance(node.value, Decimal) or (node.origin is not None and node.origin.how == "by definition")
        printed = few(node.shown, exact=is_exact)
        result |= {"value": guarded(node.shown), "unit": unit_name(node.unit), "printed": printed}
    else:
        result |= {"value": str(node.value), "unit": "", "printed": str(node.value)}
    if id(node) in known:
        return result | {"figure": known[id(node)]}
    if node.is_leaf:
        return result | {"kind": "leaf", "from": str(node.origin)}
    if node.law:
        result |= {"kind": "procedure" if node.law.is_procedure else "law", "equation": node.law.written}
    else:
        result |= {"kind": node.total, "equation": f"{node.total} of"}
    if node.law and node.law.source:
        result["source"] = str(node.law.source)
    if node.law and node.law.valid:
        result["valid"] = node.law.valid
    inputs = [working(child, known) | ({"name": name} if node.law else {}) for name, child in node.inputs.items()]
    return result | {"inputs": inputs}
