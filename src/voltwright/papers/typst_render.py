"""Sets a paper as PDF. All text goes to the template as data and is never read as markup."""

from __future__ import annotations

import dataclasses
import functools
import json
from pathlib import Path
from typing import Any

import typst

from voltwright.papers import plot
from voltwright.papers.drawing import Drawing
from voltwright.papers.inert import breakable, inert, shortened
from voltwright.papers.nodes import Paper
from voltwright.papers.svg import FONT, svg
from voltwright.quantity.plot import Bars, Heat, Lines

HERE = Path(__file__).parent
MEMO_AGE = 10  # of so many papers back the compiler keeps what it worked out, in case the next is like it


def pdf(paper: Paper) -> bytes:
    """The paper as PDF: the same bytes for the same paper, without the fonts, the clock or the network of the machine."""
    data = json.dumps(as_data(paper) | {"font": FONT, "head": as_data(shortened(paper.title, 80))}, ensure_ascii=False)
    template = (HERE / "templates" / "design.typ").read_bytes()
    return typst.compile(template, font_paths=shipped_fonts(), sys_inputs={"paper": data}, timestamp=0)


def forget() -> None:
    """Give back what the compiler keeps of the last papers, some 135 MB each: empty pages age it until it lets go."""
    for _ in range(MEMO_AGE + 1):
        typst.compile(b"", font_paths=shipped_fonts())


@functools.cache
def shipped_fonts() -> typst.Fonts:
    """The shipped fonts, and those inside the compiler for letters that these lack."""
    return typst.Fonts(include_system_fonts=False, font_paths=[str(HERE / "fonts")])


def as_data(value: Any) -> Any:
    """Nodes as plain data for a template: each says its kind; texts are harmless; drawings and plots are SVG at their size."""
    if isinstance(value, Drawing):
        width, height = value.paper_size
        return {"svg": svg(value), "width": width, "height": height, "alt": inert(value.alt)}
    if isinstance(value, (Lines, Heat, Bars)):
        width, height = plot.size_of(value)
        picture = {"svg": plot.svg_of(value), "width": width, "height": height, "alt": inert(value.alt)}
        return picture | {"title": breakable(inert(value.title))}
    if dataclasses.is_dataclass(value):
        fields = {each.name: as_data(getattr(value, each.name)) for each in dataclasses.fields(value)}
        return {"kind": type(value).__name__} | fields
    if isinstance(value, tuple):
        return [as_data(each) for each in value]
    return breakable(inert(value)) if isinstance(value, str) else value
