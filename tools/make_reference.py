"""Writes what the code knows into docs/: figures, findings, errors, and the laws of each theory page.

`--check` writes nothing and says which pages are out of date.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
import re
import sys
import textwrap
from collections.abc import Callable, Iterator
from dataclasses import fields
from pathlib import Path
from typing import Any

import voltwright.physics
import voltwright.rules.dossier  # registers every rule
from voltwright.assess.keys import KEYS, QUESTIONS, question_of
from voltwright.quantity.errors import ALL, VoltwrightError
from voltwright.quantity.formula import Formula, Parameter, all_formulas
from voltwright.rules.finding import ORDER, Finding, Rule, all_rules

DOCS = Path(__file__).parents[1] / "docs"
MADE = "This page is made by `tools/make_reference.py` from the code."

FIGURES = f"""\
# Figures

Every figure has a key. `voltwright assess FILE --figure KEY` prints its value alone, always in the unit named here.
`voltwright explain FILE KEY` shows its working. A figure that cannot be worked out is printed as `not known`, with the
reason below it; `--figure` then prints `null`. It is never 0 in place of something unknown.

Figures that are not sure carry a band: 5 % of cases lie below its lower end, 5 % above its upper end. See
[how sure a figure is](../theory/uncertainty.md). `decimals` says to how many places a figure is printed.
{MADE}
"""

FINDINGS = f"""\
# Findings

A finding is the outcome of one check. `stop`: it must not be built so. `caution`: it is allowed, know what you do.
`note`: good to know. While a `stop` stands, `voltwright assess` ends with exit code 1 and every page of the papers is
marked NOT FOR BUILDING. Each finding comes with what applies of: the limit, what it is here, the margin, the clause or
custom behind the limit, and a remedy that the tool has worked out. A check that finds nothing wrong says nothing.

Words in capital letters stand for what the check fills in. {MADE}
"""

ERRORS = f"""\
# Errors

What cannot be read is refused with a code, and with file, line, place, what is allowed, and how to mend it.
All that is wrong with a build file is said at once. The exit code is 2, and nothing is written.
A code never changes its meaning. {MADE}

| code | printed as | meaning |
| --- | --- | --- |
"""

UNEXPECTED = """\
| `VW900` | something went wrong that Voltwright did not expect | A mistake in Voltwright itself. The exit code is 3. \
The message names a reference number and a log; keep both when you report it. |

`VW000` stands for all of them; you will not see it by itself. Mistakes in the command itself, such as an unknown
option, are answered with the usage of that command and exit code 2.
"""

SAID_BY = {
    "data": "Data and price",
    "donor": "Old electrics and outline",
    "mass": "Mass",
    "pack": "Pack",
    "protection": "Protection",
}


def figures() -> str:
    """Every key of the contract, by question."""
    lines = [FIGURES]
    for question, words in QUESTIONS.items():
        lines += [f"## {question}: {words}", "", "| key | unit | decimals | label |", "| --- | --- | --- | --- |"]
        for key, known in KEYS.items():
            if question_of(key) == question:
                unit = {"1": "", "currency": "currency of the build"}.get(known.unit, known.unit)
                lines.append(f"| `{key}` | {unit} | {known.decimals} | {known.label} |")
        lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def findings() -> str:
    """Every rule with its question, and each finding that it can give."""
    homes: dict[str, list[Rule]] = {}
    for rule in all_rules():
        homes.setdefault(rule.__module__.rpartition(".")[2], []).append(rule)
    lines = [FINDINGS]
    for home in sorted(homes, key=list(SAID_BY).index):
        lines += [f"## {SAID_BY[home]}", ""]
        for rule in homes[home]:
            lines += [f"### {(rule.__doc__ or '').strip()}", "", f"Check `{rule.__name__}`.", ""]
            lines += ["| finding | severity | title | clause or custom |", "| --- | --- | --- | --- |"]
            lines += [f"| `{key}` | {' | '.join(rest)} |" for key, *rest in findings_of(rule)]
            lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def findings_of(rule: Rule) -> Iterator[tuple[str, str, str, str]]:
    """Key, severities, title and clause of each finding in the source of a rule, in the order of the source."""
    tree = ast.parse(textwrap.dedent(inspect.getsource(rule)))
    calls = [each for each in ast.walk(tree) if isinstance(each, ast.Call) and _is_name(each.func, "Finding")]
    for call in sorted(calls, key=lambda each: each.lineno):
        given = dict(zip((each.name for each in fields(Finding)), call.args, strict=False))
        given |= {str(each.arg): each.value for each in call.keywords}
        severity = " or ".join(_severities(given["severity"], tree))
        clause = _text(given["clause"], rule) if "clause" in given else ""
        yield _text(given["key"], rule), severity, _text(given["title"], rule), clause


def _severities(node: ast.expr, tree: ast.AST) -> list[str]:
    """The severities that an expression can give; a name is looked up among the assignments of the rule."""
    if isinstance(node, ast.Name):
        assigned = (each for each in ast.walk(tree) if isinstance(each, ast.Assign))
        node = next(each.value for each in assigned if _is_name(each.targets[0], node.id))
    words = {each.value for each in ast.walk(node) if isinstance(each, ast.Constant) and each.value in ORDER}
    return sorted((str(word) for word in words), key=ORDER.__getitem__)


def _is_name(node: ast.expr, name: str) -> bool:
    return isinstance(node, ast.Name) and node.id == name


def _text(node: ast.expr, rule: Rule) -> str:
    """A text of the source; what is filled in stands in capital letters, and a slash parts two choices."""
    if isinstance(node, ast.Constant):
        return "" if node.value is None else str(node.value)
    if isinstance(node, ast.Name):
        return str(vars(sys.modules[rule.__module__])[node.id])
    if isinstance(node, ast.IfExp):
        return f"{_text(node.body, rule)} / {_text(node.orelse, rule)}"
    assert isinstance(node, ast.JoinedStr), ast.dump(node)
    return "".join(str(part.value) if isinstance(part, ast.Constant) else _filled(part) for part in node.values)


def _filled(node: ast.expr) -> str:
    """`{box.name}` as BOX, `{axle}` as AXLE: the first name of what is filled in."""
    return next(each.id for each in ast.walk(node) if isinstance(each, ast.Name)).upper()


def errors() -> str:
    """Every code with its meaning."""
    rows = [f"| `{error.code}` | {error.title} | {_sentence(error)} |" for error in ALL]
    return ERRORS + "\n".join(rows) + "\n" + UNEXPECTED


def _sentence(error: type[VoltwrightError]) -> str:
    """The first paragraph of a docstring on one line."""
    return " ".join((error.__doc__ or "").strip().split("\n\n")[0].split())


def laws() -> dict[str, list[Formula]]:
    """Every registered law by the module of physics that holds it."""
    for module in pkgutil.iter_modules(voltwright.physics.__path__):
        importlib.import_module(f"voltwright.physics.{module.name}")
    found: dict[str, list[Formula]] = {}
    for law in all_formulas():
        if law.function.__module__.startswith("voltwright.physics."):
            found.setdefault(law.function.__module__.rpartition(".")[2], []).append(law)
    return found


def law_text(law: Formula) -> str:
    """One law: what it gives, its equation or words, the units, the source and where it holds."""
    given = (inspect.getdoc(law.function) or "").split("\n\n")[0]
    given = re.sub(r"\s*\[[^\]]*\]$", "", " ".join(given.split()))
    line = f"    {law.symbol} = {law.written}" if not law.is_procedure else f"    {law.symbol}: {law.words}"
    inputs = ", ".join(_input(each) for each in law.parameters)
    lines = [f"### {law.name}", "", given, "", line, "", f"Result in {_unit(law.unit)}; {inputs}.", ""]
    if law.valid:
        lines += [f"Holds where: {law.valid}.", ""]
    plain = "none; a way of reckoning" if law.is_procedure else "none needed; a definition or plain arithmetic"
    source = str(law.source) if law.source else plain
    return "\n".join([*lines, f"Source: {source}.", ""])


def _input(parameter: Parameter) -> str:
    unit = _unit(parameter.unit) if parameter.unit else "a table"
    return f"`{parameter.name}` {'is' if parameter.unit is None else 'in'} {unit}"


def _unit(unit: Any) -> str:
    words = {"1": "plain numbers", "currency": "the currency", "currency/h": "the currency per hour"}
    return str(words.get(unit.spelling, unit.spelling))


MARK = re.compile(r"(<!-- laws of (\w+) -->\n).*?(<!-- end of laws -->\n)", re.S)


def with_laws(text: str) -> str:
    """A theory page with the laws between its marks written anew."""
    known = laws()

    def between(mark: re.Match[str]) -> str:
        return "\n".join([mark[1], *(law_text(law) for law in known[mark[2]]), mark[3]])

    return MARK.sub(between, text)


def unshown() -> list[str]:
    """Modules of physics whose laws stand on no theory page."""
    texts = [page.read_text(encoding="utf-8") for page in (DOCS / "theory").glob("*.md")]
    return sorted(set(laws()) - {mark[2] for text in texts for mark in MARK.finditer(text)})


MADE_PAGES: dict[str, Callable[[], str]] = {"figures": figures, "findings": findings, "errors": errors}


def pages() -> dict[Path, str]:
    """Every page that this tool writes, as it should be."""
    made = {DOCS / "reference" / f"{name}.md": page() for name, page in MADE_PAGES.items()}
    return made | {page: with_laws(page.read_text(encoding="utf-8")) for page in sorted((DOCS / "theory").glob("*.md"))}


def stale() -> list[str]:
    """Pages that are not as they should be, and modules without a page."""
    old = [page for page, text in pages().items() if not page.exists() or page.read_text(encoding="utf-8") != text]
    return [page.name for page in old] + [f"no theory page shows the laws of {name}" for name in unshown()]


def main() -> int:
    """Write the pages, or only check them."""
    if "--check" not in sys.argv[1:]:
        for page, text in pages().items():
            page.write_text(text, encoding="utf-8")
    wrong = stale()
    for each in wrong:
        print(f"run tools/make_reference.py: {each}")
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
