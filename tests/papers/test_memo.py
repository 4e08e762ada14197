"""A server that prints all day does not fill the memory."""

from __future__ import annotations

import subprocess
import sys

SETS_PAPERS = """
import sys
from voltwright.papers.nodes import Paper, Prose
from voltwright.papers.typst_render import forget, pdf

def held():
    with open("/proc/self/statm") as file:
        return int(file.read().split()[1]) * 4096 / 1e6

after = []
for number in range(6):
    text = tuple(Prose(f"paper {number} line {line} " * 40) for line in range(150))
    pdf(Paper(f"Paper {number}", "A. Person", "1", "", "", text))
    if sys.argv[1] == "forgets":
        forget()
    after.append(held())
print(after[-1] - after[1])
"""


def grown(way: str) -> float:
    """What four papers after the second add to the memory of a process. [MB]"""
    return float(subprocess.check_output((sys.executable, "-c", SETS_PAPERS, way), text=True))


def test_what_the_compiler_keeps_of_past_papers_is_given_back() -> None:
    assert grown("forgets") < 0.3 * grown("keeps")
