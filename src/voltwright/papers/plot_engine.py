"""Brings up matplotlib for papers: only when a plot is drawn, without a look at the fonts or settings of the machine."""

from __future__ import annotations

import atexit
import contextlib
import functools
import importlib.util
import io
import json
import os
import re
import shutil
import sys
import tempfile
import threading
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from voltwright.papers.svg import FONT

FONTS = Path(__file__).parent / "fonts"
INCH = 25.4  # mm
SETTINGS: dict[str, Any] = {
    "svg.hashsalt": "voltwright",
    "svg.fonttype": "none",  # text stays text, so that a PDF can be searched; the typesetter has the same fonts
    "font.family": [FONT],
    "font.size": 7.5,
    "text.parse_math": False,
    "text.usetex": False,
    "axes.unicode_minus": True,
    "path.simplify": True,
    "hatch.linewidth": 0.4,
}
_ONE_AT_A_TIME = threading.RLock()  # settings and warnings are global to the process


@functools.cache
def _matplotlib() -> Any:
    """The library with the shipped fonts known to it."""
    with _quiet_home():
        import matplotlib
        import matplotlib.backends.backend_svg
        import matplotlib.figure
        from matplotlib.font_manager import fontManager
    for file in sorted(FONTS.glob("*.ttf")):
        fontManager.addfont(str(file))
    return matplotlib


@contextlib.contextmanager
def _quiet_home() -> Iterator[None]:
    """A private folder for the import, which else writes into the home folder and reads every font of the machine.

    The folder holds a list of fonts that names one, that of matplotlib itself: then nothing is looked for.
    """
    if "matplotlib.font_manager" in sys.modules:
        yield
        return
    home = tempfile.mkdtemp(prefix="voltwright-")
    atexit.register(shutil.rmtree, home, ignore_errors=True)
    for name, text in _font_list():
        (Path(home) / name).write_text(text, encoding="utf-8")
    before = os.environ.get("MPLCONFIGDIR")
    os.environ["MPLCONFIGDIR"] = home
    try:
        yield
    finally:
        if before is None:
            del os.environ["MPLCONFIGDIR"]
        else:
            os.environ["MPLCONFIGDIR"] = before


def _font_list() -> Iterator[tuple[str, str]]:
    """The list as matplotlib would write it; its version stands in the source. Without it the search runs, and all is well."""
    found = importlib.util.find_spec("matplotlib")
    source = Path(found.origin).with_name("font_manager.py") if found and found.origin else None
    if source is None or not source.is_file():
        return
    version = re.search(r"^    __version__ = '([\d.]+)'$", source.read_text(encoding="utf-8"), flags=re.MULTILINE)
    if version is None:
        return
    own = {"fname": "fonts/ttf/DejaVuSans.ttf", "index": 0, "name": "DejaVu Sans", "style": "normal", "variant": "normal",
           "weight": 400, "stretch": "normal", "size": "scalable", "__class__": "FontEntry"}  # fmt: skip
    whole = {"_version": version[1], "_FontManager__default_weight": "normal", "default_size": None,
             "defaultFamily": {"ttf": "DejaVu Sans", "afm": "Helvetica"}, "afmlist": [], "ttflist": [own],
             "__class__": "FontManager"}  # fmt: skip
    yield f"fontlist-v{version[1]}.json", json.dumps(whole)


def drawn(width: float, height: float, draw: Callable[[Any], None]) -> str:
    """A figure of so many millimetres as SVG: the same bytes for the same figure, whatever the settings of the machine."""
    with _ONE_AT_A_TIME, warnings.catch_warnings():
        matplotlib = _matplotlib()
        # The typesetter has letters that these fonts lack.
        warnings.filterwarnings("ignore", message="Glyph .* missing")
        clean = {name: value for name, value in matplotlib.rcParamsDefault.items() if name != "backend"}
        with matplotlib.rc_context({**clean, **SETTINGS}):
            figure = matplotlib.figure.Figure((width / INCH, height / INCH), dpi=72)  # as SVG has it
            canvas = matplotlib.backends.backend_svg.FigureCanvasSVG(figure)
            figure.patch.set_visible(False)
            draw(figure)
            file = io.BytesIO()
            canvas.print_svg(file, metadata=dict.fromkeys(("Date", "Creator", "Format", "Type")))
    return file.getvalue().decode()


def width_of(words: str, size: float, *, bold: bool = False) -> float:
    """How wide words are in the shipped font. Only while a figure is drawn. [mm]"""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    how = FontProperties(weight="bold" if bold else "normal", size=size)
    return text_to_path.get_text_width_height_descent(words, how, False)[0] * INCH / 72
