"""The workings of a paper: each tree is written once, and where it is needed again the figure that holds it is named."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from voltwright.papers.nodes import WorkingRow, WorkingTree
from voltwright.quantity.figure import Figure, fixed, guarded, unit_name
from voltwright.quantity.provenance import Origin
from voltwright.quantity.work import Node

NO_BREAK = "\u00a0"
SHORT_ENOUGH = 150  # letters: what may stand in one row beside the result
_TOTALS = {"sum": "sum of these", "least": "least of these", "greatest": "greatest of these"}


class Same:
    """Tells whether two trees say the same: the same laws on the same leaves, whatever the results are called."""

    def __init__(self) -> None:
        self._numbers: dict[object, int] = {}
        self._known: dict[int, int] = {}
        self._held: list[Node] = []

    def number(self, node: Node) -> int:
        """The same number for trees that say the same."""
        known = self._known.get(id(node))
        if known is None:
            self._held.append(node)  # an id is only good while its node lives
            known = self._known[id(node)] = self._numbers.setdefault(self._said(node), len(self._numbers))
        return known

    def _said(self, node: Node) -> object:
        if node.is_leaf:
            return node.label, repr(node.value), node.unit.spelling, str(node.origin), node.spread
        law = node.law.name if node.law else node.total
        return law, tuple((name, self.number(child)) for name, child in node.inputs.items())


def number(node: Node) -> str:
    """The value with enough digits that the result can be worked again, and its unit."""
    if not isinstance(node.value, (int, float, Decimal)):
        return "table" if node.is_leaf else " ".join(str(node.value).split())
    if isinstance(node.value, Decimal) and node.unit.is_money and node.value == round(node.value, 2):
        text = fixed(node.shown, 2)
    else:
        text = guarded(node.shown).replace("-", "−")
    return f"{text}{NO_BREAK}{unit_name(node.unit)}".strip()


def law_of(node: Node) -> str:
    """How a node is worked: `F = m · a`, or words."""
    if node.law is None:
        return _TOTALS[node.total]
    lead = f"{node.law.symbol} = " if node.law.symbol and not node.law.is_procedure else ""
    return f"{lead}{node.law.written}"


def chain(node: Node) -> list[Node]:
    """A node and what it only wraps: one worked input, such as an amount before it is rounded."""
    nodes = [node]
    while nodes[-1].law and len(nodes[-1].inputs) == 1:
        (child,) = nodes[-1].inputs.values()
        if child.is_leaf:
            break
        nodes.append(child)
    return nodes


def law_of_chain(node: Node) -> str:
    """The innermost law first: `p = count · price, then rounded`. A sum of terms of one law names that law too."""
    *wraps, inner = chain(node)
    laws = [law_of(inner) + _law_of_terms(inner), *(law_of(each) for each in reversed(wraps))]
    return ", then ".join(laws)


def _law_of_terms(node: Node) -> str:
    """The law of a sum's terms, if all have one and the same; else nothing."""
    laws = {law_of_chain(term) if term.law else "" for term in node.inputs.values()}
    (law,) = laws if node.total == "sum" and len(laws) == 1 and len(node.inputs) > 1 else ("",)
    return f", each {law}" if law else ""


def _law_notes(node: Node) -> str:
    """Where the law stands, and where it holds."""
    if node.law is None:
        return ""
    notes = [node.law.source.short] if node.law.source else []
    notes += [f"valid for {node.law.valid}"] if node.law.valid else []
    return f" [{'; '.join(notes)}]" if notes else ""


def spread_of(node: Node) -> str:
    """`low to high` of a value that is not exact."""
    if node.spread.is_exact:
        return ""
    ends = (node.spread.low, node.spread.high)
    low, high = ends if isinstance(node.value, Decimal) else (node.unit.from_si(end) for end in ends)
    return f"{_few(low)} to {_few(high)}"


def _few(value: float) -> str:
    return f"{value:.4g}".replace("-", "−")


def origin_of(origin: Origin, *, first: bool) -> str:
    """Where a value came from; in full where it stands first, then its place alone, which also does for what is merely entered."""
    how = origin.how if origin.grade in (None, origin.how) else f"{origin.how}, {origin.grade}"
    if not first:
        return origin.where or origin.reason or how
    plain = origin.how == "entered" and (origin.where or origin.reason)
    known_by_part = origin.how == "datasheet" and "/" in origin.where
    source = origin.source.short if origin.source and not known_by_part else ""
    return "; ".join(word for word in ("" if plain else how, origin.where, origin.reason, source) if word)


class Workings:
    """Writes the trees of several figures one after the other, and remembers where each value was worked."""

    def __init__(self, figures: Mapping[str, Figure], system: str) -> None:
        self._system = system
        self._same = Same()
        self._home: dict[int, str] = {}
        self._written: set[int] = set()
        for key, figure in figures.items():
            if figure.node is not None:
                self._home.setdefault(self._same.number(figure.node), key)

    def tree(self, figure: Figure) -> WorkingTree | None:
        """The working of one figure, or None where there is none."""
        node = figure.node
        if node is None:
            return None
        printed = figure.printed(self._system)
        home = self._home[self._same.number(node)]
        if home != figure.key:
            return WorkingTree(figure.key, figure.label, printed, f"the same as {home}")
        if node.is_leaf:
            return WorkingTree(figure.key, figure.label, printed, f"{number(node)}: {self._told(node, figure.key)}")
        self._written.add(self._same.number(node))
        rows = tuple(self._inputs(node, 1, figure.key))
        law = law_of(node) + _law_of_terms(node)
        return WorkingTree(figure.key, figure.label, printed, f"{law} = {number(node)}{_law_notes(node)}", rows)

    def _inputs(self, node: Node, depth: int, key: str) -> Iterator[WorkingRow]:
        nothing, said = _terms_of_nothing(node), _law_of_terms(node) != ""
        for name, child in node.inputs.items():
            if child not in nothing:
                yield from self._rows(child, name if node.law else "", depth, key, law_is_said=said)
        if nothing:
            names = "; ".join(child.label for child in nothing)
            yield WorkingRow(depth, "", f"{len(nothing)} terms of 0", number(nothing[0]), names)

    def _rows(self, node: Node, name: str, depth: int, key: str, *, law_is_said: bool = False) -> Iterator[WorkingRow]:
        if node.is_leaf or self._place(node, key):
            yield WorkingRow(depth, name, node.label, number(node), self._told(node, key))
            return
        *wraps, inner = chain(node)
        for each in (*wraps, inner):
            self._home.setdefault(self._same.number(each), key)
            self._written.add(self._same.number(each))
        law = "" if law_is_said else f"{law_of_chain(node)}{_law_notes(inner)}"
        before = f"{number(inner)} before; " if number(inner) != number(node) else ""
        inline = self._inline(inner, key, SHORT_ENOUGH - len(law) - len(before))
        how = before + ": ".join(piece for piece in (law, inline) if piece) or law_of_chain(node)
        yield WorkingRow(depth, name, node.label, number(node), how)
        if not inline:
            yield from self._inputs(inner, depth + 1, key)

    def _place(self, node: Node, key: str) -> str:
        """Where a worked node stands already, or stands by right because it is a figure."""
        same = self._same.number(node)
        home = self._home.get(same)
        if home is not None and home != key:
            return f"see {home}"
        return "as above" if same in self._written else ""

    def _told(self, node: Node, key: str) -> str:
        """Why this value: its place, or its spread and origin."""
        if not node.is_leaf:
            return self._place(node, key)
        assert node.origin is not None
        first = self._same.number(node) not in self._written
        self._written.add(self._same.number(node))
        words = [spread_of(node)] if first and spread_of(node) else []
        return "; ".join([*words, origin_of(node.origin, first=first)])

    def _inline(self, node: Node, key: str, room: int) -> str:
        """The inputs in one line, if all are leaves or stand elsewhere and there is room; else nothing."""
        if node.law is None or not all(child.is_leaf or self._place(child, key) for child in node.inputs.values()):
            return ""
        known = set(self._written)
        line = ", ".join(f"{name} {number(child)} ({self._told(child, key)})" for name, child in node.inputs.items())
        if len(line) > room:
            self._written = known
            return ""
        return line


def _terms_of_nothing(node: Node) -> list[Node]:
    """Terms of a long sum that are exactly 0."""
    terms = [term for term in node.inputs.values() if node.total == "sum" and term.value == 0]
    return terms if len(terms) > 2 else []
