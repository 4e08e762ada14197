"""All that a build file is asked, in a process that is warm and in a new one."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from benchmarks.example import COUPE, ROOT, in_plain_python
from benchmarks.table import Row, Setting, median
from voltwright.build.reader import BuildFile, from_document, load
from voltwright.rules.comparison import compare
from voltwright.rules.dossier import assess

LIBRARIES = "import numpy, scipy.optimize, numba"


def rows(setting: Setting) -> Iterator[Row]:
    built = load(COUPE)
    repeats = 1 if setting.small else 7
    point = median(lambda: assess(built, with_bands=False, search=False), repeats)
    plain = None if setting.small else in_plain_python("point", 1)
    figures = len(assess(built, with_bands=False).figures)
    yield Row("assess.point", point, plain, 0.080, f"{figures} figures, warm; other: with its loops by the interpreter")
    searched = median(lambda: assess(built, with_bands=False), repeats)
    yield Row(
        "assess.remedies", searched, point, point + 0.080, "the same with the search for remedies; other: without"
    )
    ten = _with_variants(10)
    compared = median(lambda: compare(ten, with_bands=False), 1 if setting.small else 3)
    yield Row(
        "compare.ten_variants", compared, 11 * point, 1.0, "ten variants beside the build; other: eleven assessments"
    )
    bands = median(lambda: assess(built, search=False), repeats)
    note = "with bands of 256 samples; other: the point as often"
    yield Row("assess.bands", bands, point * 256, 0.600, note)
    yield from _processes(1 if setting.small else 5)


def _with_variants(count: int) -> BuildFile:
    """The coupé with so many variants, each of another load."""
    built = load(COUPE)
    variants = {f"load-{load}": {"changes": {"brief.load": f"{load} kg"}} for load in range(1, count + 1)}
    document = replace(built.document, root={**built.document.root, "variants": variants})
    return from_document(document, built.shelf, built.folder)


def _processes(repeats: int) -> Iterator[Row]:
    bare = median(lambda: _run("-c", LIBRARIES), repeats)
    words = ("-m", "voltwright", "assess", str(COUPE), "--json")
    quick = median(lambda: _run(*words, "--no-bands"), repeats)
    yield Row("process.assess", quick, bare, 1.5, f"--json --no-bands; other: a bare interpreter with {LIBRARIES!r}")
    whole = median(lambda: _run(*words), repeats)
    yield Row("process.assess_bands", whole, None, None, "--json, with bands; nothing to compare with")
    with tempfile.TemporaryDirectory() as folder:
        papers = median(lambda: _run("-m", "voltwright", "papers", str(COUPE), "--out", str(Path(folder))), repeats)
    note = f"papers ({papers:.2f} s) less process.assess_bands; nothing to compare with"
    yield Row("process.papers_more", max(papers - whole, 1e-9), None, 1.5, note)


def _run(*words: str) -> None:
    """A new process of this interpreter; exit code 1 says that a stop finding stands, which is an answer."""
    there = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    done = subprocess.run(  # noqa: S603
        (sys.executable, *words), cwd=ROOT, env=there, capture_output=True, check=False
    )
    if done.returncode > 1:
        raise SystemExit(done.stderr.decode())
