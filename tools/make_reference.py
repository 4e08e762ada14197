"""Writes what the code knows into docs/: figures, findings, errors, and the laws of each theory page.

`--check` writes nothing and says which pages are out of date.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from findings_in_source import findings_of, unlisted

import voltwright.physics
import voltwright.rules.dossier  # registers every rule
from voltwright.assess.keys import FAMILIES, KEYS, QUESTIONS, Key, question_of
from voltwright.parts.countries import Law, packs
from voltwright.quantity.errors import ALL, VoltwrightError
from voltwright.quantity.formula import Formula, Parameter, all_formulas
from voltwright.rules.clause import HOW_SEEN
from voltwright.rules.rule import Rule, all_rules

DOCS = Path(__file__).parents[1] / "docs"
MADE = "This page is made by `tools/make_reference.py` from the code."

FIGURES = f"""\
# Figures

Every figure has a key. `voltwright assess FILE --figure KEY` prints its value alone, always in the unit named here.
`voltwright explain FILE KEY` shows its working. A figure that cannot be worked out is printed as `no figure`, with the
reason below it; `--figure` then prints `null`. It is never 0 in place of something unknown. A word in capital letters at
the end of a key stands for a name in the build file, such as that of a supply: `charge.time_full.home`.

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

Words in capital letters stand for what the check fills in. What the rules of a country say stands in its
[rule pack](countries.md). {MADE}
"""

COUNTRIES = """\
# Rule packs of countries

What the law of a country asks of a converted car, in our own words. **This is no advice on law.** Laws change, regions differ, and
most of these texts were seen only in part or in copies: each row says how far, in which state, and on which day. The authority
decides; ask it before anybody cuts.

A pack is chosen by `country` in the build file. Its rules become [findings](findings.md) with the key `country`, the code of the
country and the word below; where twelve months have passed since the oldest text was seen, a caution says so. A country that is
not here gets a note. `voltwright assess FILE --today DATE` judges as on another day.

Made by `tools/make_reference.py` from the files in `src/voltwright/parts/standards/countries/`.
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
    "data": "Data",
    "contradictions": "Data that contradict each other",
    "guesses": "Guesses that decide",
    "cost": "Price",
    "electrics": "Old electrics",
    "low_voltage": "Low-voltage side",
    "feed": "Cable of the DC-DC",
    "space": "Places",
    "mass": "Mass",
    "heat": "Heat",
    "voltage": "Voltage",
    "current": "Current and power",
    "regeneration": "Regeneration",
    "carrying": "Current of long driving through contactors, disconnect and fuse",
    "ratings": "Ratings of contactors, fuse, cable and inlet",
    "pairing": "Motor, inverter and gears together",
    "drive": "Drive and pace",
    "gears": "Gears, shafts and grip",
    "grip": "Grip",
    "shafts": "Torque of coupling, final drive and half shafts",
    "mounts": "Mounts of motor and gears",
    "shifting": "Motor speed and shifting",
    "reverse": "Reverse",
    "road": "Range and trips",
    "routes": "Routes",
    "brakes": "Brakes",
    "holding": "Servo and parking",
    "towing": "Trailer and coast-down",
    "tyres": "Tyres",
    "charge": "Charging",
    "habit": "A week of charging",
    "life": "Life of the battery",
    "monitoring": "Monitoring",
    "modules": "Modules",
    "strings": "Strings in parallel",
    "protection": "Protection",
    "isolation": "Isolation",
    "reversibility": "What is done to the car",
    "countries": "The law of the country",
}


def figures() -> str:
    """Every key of the contract, by question."""
    lines = [FIGURES]
    for question, words in QUESTIONS.items():
        lines += [f"## {question}: {words}", "", "| key | unit | decimals | label |", "| --- | --- | --- | --- |"]
        lines += [_figure(key, known) for key, known in KEYS.items() if question_of(key) == question]
        families = {f"{key}.{known.of}": known for key, known in FAMILIES.items() if question_of(key) == question}
        lines += [_figure(key, known) for key, known in families.items()]
        lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def _figure(key: str, known: Key) -> str:
    unit = {"1": "", "currency": "currency of the build"}.get(known.unit, known.unit)
    return f"| `{key}` | {unit} | {known.decimals} | {known.label.format(name=known.of)} |"


def findings() -> str:
    """Every rule with its question, and each finding that it can give."""
    homes: dict[str, list[Rule]] = {}
    for rule in all_rules():
        homes.setdefault(rule.home, []).append(rule)
    lines = [FINDINGS]
    for home in sorted(homes, key=[*SAID_BY, *sorted(homes.keys() - SAID_BY.keys())].index):
        lines += [f"## {SAID_BY.get(home, home.capitalize())}", ""]
        for rule in homes[home]:
            lines += [f"### {rule.asks}", "", _rule(rule), ""]
            lines += [
                "| finding | severity | title | what it rests on | how far seen |",
                "| --- | --- | --- | --- | --- |",
            ]
            lines += [f"| `{key}` | {' | '.join(rest)} |" for key, *rest in findings_of(rule)]
            lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def _rule(rule: Rule) -> str:
    needs = f"It reads the figures of {', '.join(rule.needs)}." if rule.needs else "It reads the build alone."
    return f"Check `{rule.name}`; {rule.when.words}. {needs}"


def countries() -> str:
    """Every rule pack with its rules."""
    lines = [COUNTRIES]
    for code, pack in packs().items():
        lines += [f"## {pack.name} ({code})", "", f"Ask: {pack.authority}.", ""]
        lines += ["| finding | severity | what it asks | where it stands | how far seen | seen on |"]
        lines += ["| --- | --- | --- | --- | --- | --- |"]
        lines += [f"| `country.{code.lower()}.{each.id}` | {' | '.join(_law_row(each))} |" for each in pack.laws]
        lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def _law_row(law: Law) -> tuple[str, ...]:
    where = f"{law.law}{f' ({law.region})' if law.region else ''}"
    place = f"[{where}]({law.address})" if law.address else where
    day = law.seen_on.isoformat() if law.seen_on else "never"
    return law.severity, f"{law.title}. {law.says}", place, f"{HOW_SEEN[law.seen]}; {law.edition}", day


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


MADE_PAGES: dict[str, Callable[[], str]] = {
    "figures": figures,
    "findings": findings,
    "countries": countries,
    "errors": errors,
}


def pages() -> dict[Path, str]:
    """Every page that this tool writes, as it should be."""
    made = {DOCS / "reference" / f"{name}.md": page() for name, page in MADE_PAGES.items()}
    return made | {page: with_laws(page.read_text(encoding="utf-8")) for page in sorted((DOCS / "theory").glob("*.md"))}


def stale() -> list[str]:
    """Pages that are not as they should be, modules without a page, and findings that no page lists."""
    old = [page for page, text in pages().items() if not page.exists() or page.read_text(encoding="utf-8") != text]
    untold = [f"no theory page shows the laws of {name}" for name in unshown()]
    return [page.name for page in old] + untold + unlisted()


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
