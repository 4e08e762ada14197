"""Writes docs/reference/build-file.md from the schema and defaults.json; `--check` only says whether it is up to date."""

from __future__ import annotations

import inspect
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

from voltwright.build.document import MOST_VARIANTS, Build
from voltwright.build.field_words import field_words
from voltwright.build.paths import Spot
from voltwright.build.reader import Default, defaults, kind_at
from voltwright.quantity.document import LARGEST_TEXT, LONGEST_LINE
from voltwright.quantity.entry import HOWS
from voltwright.quantity.yaml_text import MOST_VALUES

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "build-file.md"

HEAD = f"""\
# The build file

One text file describes one conversion. It is YAML, written as UTF-8, and its first line is `voltwright: 1`: the format.
Every line that it may hold stands below; any other name is refused, and the nearest known one is named.
This page is made by `tools/make_build_page.py` from the schema that reads the file.

**How values are written.** A quantity has its unit: `480 kg`, `31 in`, `6'2"`, `62 mph`, `68 °F`. The unit in the table
is one of several; any unit that measures the same is read, metric, UK or US. A spread is written `0.44 ± 0.04` (5 to
95 % of cases lie within) or `1.8 .. 2.1 m²` (anything between). The decimal sign is a point, and thousands have no mark.
A value may also say how it is known:

```yaml
mass_kerb: {{value: 1012 kg ± 5 kg, how: measured, note: "weighbridge, full tank"}}
```

`how` is one of {", ".join(HOWS)}; an assumed value needs a `note` with its reason. `source` names
a key of the references (`own-datasheet` for a datasheet of your own), and `grade` says how far it can be trusted.

**How paths are written.** `donor.size.width` is the line `width` below `size` below `donor`. `[]` stands for each item
of a list, counted from 0, and `{{}}` for each name of your own. *what it is* is what the pages call it.

**What happens to what you leave out.** *must be given*: the file is refused without it. *may be left out*: nothing is
assumed, and figures that need it say so. Where a value is assumed instead, it stands below with its reason, every paper
lists it. The last column says how to find out: only a person qualified for it works on high voltage, and nobody works
under a car that only a jack holds.

**Limits.** {LARGEST_TEXT} characters, {LONGEST_LINE} in a line, {MOST_VALUES} values, {MOST_VARIANTS} variants.
Aliases, anchors, tags and directives are refused. Comments and order stay when Voltwright changes a file.

Axes: x runs rearwards from the front axle, y to the left of the middle of the car, z up from the ground.
"""

COLUMNS = ["| what it is | path | written as | if left out | to find out |", "| --- | --- | --- | --- | --- |"]


def page() -> str:
    """The whole page."""
    known = {default.path: default for default in defaults()}
    lines = [HEAD]
    for path, here, around in sections(Spot(Build), "", None):
        rows = [row(full, below, field, known.get(full)) for full, below, field in values(path, here)]
        if rows:
            lines += [
                f"## {f'`{path}`' if path else 'The file itself'}",
                "",
                *intro(here, around),
                *COLUMNS,
                *rows,
                "",
            ]
    return "\n".join(lines).rstrip() + "\n"


def sections(here: Spot, path: str, around: Spot | None) -> Iterator[tuple[str, Spot, Spot | None]]:
    """Every set of names with its path and the field that holds it, the whole before its parts."""
    yield path, here, around
    for name in here.names:
        child = child_of(here, name)
        full, below = below_marks(f"{path}.{name}".strip("."), child)
        if below.model:
            yield from sections(below, full, child)


def child_of(here: Spot, part: Any) -> Spot:
    child = here.child(part)
    assert child is not None
    return child


def below_marks(path: str, here: Spot) -> tuple[str, Spot]:
    """Through lists and maps to what stands in them."""
    while get_origin(here.kind) in (tuple, dict):
        path += "[]" if get_origin(here.kind) is tuple else "{}"
        here = child_of(here, 0)
    return path, here


def values(path: str, here: Spot) -> Iterator[tuple[str, Spot, Spot]]:
    """The paths of a section at which a value stands, what stands there, and the field."""
    for name in here.names:
        child = child_of(here, name)
        full, below = below_marks(f"{path}.{name}".strip("."), child)
        if not below.model:
            yield full, below, child


def intro(here: Spot, around: Spot | None) -> list[str]:
    """What the section is for, how many there may be, and whether it may be left out."""
    model = here.model
    assert model is not None
    words = " ".join((inspect.getdoc(model) or "").split()) if "__doc__" in vars(model) and model.__doc__ else ""
    more = []
    if around is not None and around.info is not None:
        more = [f"How many: {around.length.removeprefix(' of ')}."] if around.length else []
        needed = any(each.is_required() for each in model.model_fields.values())
        more += (
            ["May be left out as a whole."] if not around.info.is_required() and not around.length and needed else []
        )
    text = " ".join([words, *more]).strip()
    return [text, ""] if text else []


def row(path: str, here: Spot, around: Spot, default: Default | None) -> str:
    words = field_words(path)
    many = f"; a list{around.length}" if around.length else ""
    return f"| {words.label} | `{path}` | {written(path, here)}{many} | {left_out(around, default)} | {words.measure} |"


def written(path: str, here: Spot) -> str:
    """Unit, words or kind, and the range."""
    kind = kind_at(path)
    if kind:
        return f"the id of a part of the kind `{kind}`"
    if here.expect:
        unit = {"1": "plain number", "currency": "money", "currency/h": "money an hour"}
        bounds = re.sub(rf"(?<=\d) {re.escape(here.expect.unit)}(?= |$)", "", here.expect.allowed)
        return f"{unit.get(here.expect.unit, here.expect.unit)}; {bounds}"
    if get_origin(here.kind) is Literal:
        return ", ".join(f"`{each}`" for each in get_args(here.kind))
    return here.words.replace("|", "\\|")


def left_out(around: Spot, default: Default | None) -> str:
    if default:
        text = default.value or "; ".join(f"{body} {value}" for body, value in (default.by_body or {}).items())
        return f"assumed {text}: {default.note}"
    info = around.info
    assert info is not None
    if info.is_required():
        return "must be given"
    if info.default in (None, ()) or isinstance(info.default, dict):
        return "may be left out"
    return f"`{str(info.default).lower() if isinstance(info.default, bool) else info.default}`"


def main() -> int:
    made = page()
    if "--check" in sys.argv[1:]:
        current = PAGE.exists() and PAGE.read_text(encoding="utf-8") == made
        print("docs/reference/build-file.md is up to date" if current else "run tools/make_build_page.py")
        return 0 if current else 1
    PAGE.parent.mkdir(parents=True, exist_ok=True)
    PAGE.write_text(made, encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
