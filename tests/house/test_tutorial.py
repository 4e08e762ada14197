"""Documents that can be run are run: every `console` block of every page, in order, in a folder of its own.

In a `console` block, `$ ` begins a command; the lines below it must occur in its output, in that order. Runs of blanks
count as one. The info string `exit=N` gives the exit code of the last command; without it every command must end with 0.
The line before a `yaml` block says what is done with it:

- Write `FILE`:
- Add to the end of `FILE`:
- In `FILE`, replace the section `NAME` with:
- In `FILE`, replace the line `TEXT` with:
"""

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
BLOCK = re.compile(r"^```(?P<kind>\w+)(?: exit=(?P<exit>\d+))?\n(?P<body>.*?)^```$", re.M | re.S)
ORDERS = (
    (re.compile(r"Write `([^`]+)`:"), "write"),
    (re.compile(r"Add to the end of `([^`]+)`:"), "add"),
    (re.compile(r"In `([^`]+)`, replace the section `([^`]+)` with:"), "section"),
    (re.compile(r"In `([^`]+)`, replace the line `([^`]+)` with:"), "line"),
)


@dataclass(frozen=True)
class Step:
    """One block of a page: a file to be made or changed, or commands with what they print."""

    kind: str
    order: str
    body: str
    code: int


def steps_of(text: str) -> Iterator[Step]:
    """Every `yaml` block with an order before it, and every `console` block."""
    for found in BLOCK.finditer(text):
        order = text[: found.start()].rstrip().rpartition("\n")[2]
        if found["kind"] == "console" or (found["kind"] == "yaml" and order.endswith(":") and "`" in order):
            yield Step(found["kind"], order, found["body"], int(found["exit"] or 0))


def commands_of(body: str) -> list[tuple[str, list[str]]]:
    """Each command with the lines that are expected of it."""
    found: list[tuple[str, list[str]]] = []
    for line in re.sub(r"\\\n\s*", "", body).splitlines():  # as a shell joins them
        if line.startswith("$ "):
            found.append((line[2:], []))
        elif line.strip():
            found[-1][1].append(" ".join(line.split()))
    return found


def change_file(folder: Path, step: Step) -> None:
    """Do what the line before a `yaml` block says."""
    matches = [(match, what) for pattern, what in ORDERS if (match := pattern.fullmatch(step.order))]
    assert len(matches) == 1, f"this order is not understood: {step.order}"
    match, what = matches[0]
    file = folder / match[1]
    old = "" if what == "write" else file.read_text(encoding="utf-8")
    if what in ("write", "add"):
        new = old + step.body
    else:
        pattern = (
            rf"^{re.escape(match[2])}:\n(?:[ #].*\n|\n(?=[ #]))*" if what == "section" else rf"^{re.escape(match[2])}\n"
        )
        new, count = re.subn(pattern, lambda _: step.body, old, flags=re.M)
        assert count == 1, f"{step.order} {match[2]!r} stands there {count} times"
    file.write_text(new, encoding="utf-8")


def run(command: str, folder: Path) -> tuple[int, list[str]]:
    """Exit code, and what a reader would see on the screen."""
    environment = os.environ | {"PYTHONPATH": str(ROOT / "src"), "VOLTWRIGHT_HOME": str(folder / ".log")}
    environment["PATH"] = f"{folder / '.bin'}:{environment['PATH']}"
    done = subprocess.run(
        ["bash", "-c", command],
        cwd=folder, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, timeout=120, check=False,
    )  # fmt: skip
    return done.returncode, [" ".join(line.split()) for line in done.stdout.splitlines()]


def perform(text: str, folder: Path) -> int:
    """Do all steps of a page; the number of commands that were run."""
    (folder / ".bin").mkdir()
    command = folder / ".bin" / "voltwright"
    command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m voltwright "$@"\n', encoding="utf-8")
    command.chmod(0o755)
    count = 0
    for step in steps_of(text):
        if step.kind == "yaml":
            change_file(folder, step)
            continue
        asked = commands_of(step.body)
        for number, (words, expected) in enumerate(asked, 1):
            code, seen = run(words, folder)
            shown = "\n".join([f"$ {words}", *seen, f"(exit code {code})"])
            assert code == (step.code if number == len(asked) else 0), shown
            assert "Traceback" not in shown, shown
            rest = iter(seen)
            for line in expected:
                assert line in rest, f"not printed (here): {line}\n{shown}"
            count += 1
    return count


PAGES = sorted(
    page
    for page in [ROOT / "README.md", *(ROOT / "docs").rglob("*.md")]
    if "```console" in page.read_text(encoding="utf-8")
)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_page_does_what_it_says(page: Path, tmp_path: Path) -> None:
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    assert perform(page.read_text(encoding="utf-8"), tmp_path) > 0


def test_tutorial_and_readme_are_among_them() -> None:
    assert {ROOT / "README.md", ROOT / "docs" / "tutorial" / "first-car.md"} <= set(PAGES)


WRONG = {
    "a line that is not printed": "```console\n$ echo one\ntwo\n```\n",
    "lines in another order": "```console\n$ printf 'one\\ntwo\\n'\ntwo\none\n```\n",
    "an exit code that is not said": "```console\n$ voltwright assess nothing.yaml\n```\n",
    "another exit code": "```console exit=1\n$ voltwright assess nothing.yaml\n```\n",
    "a failure before the last command": "```console exit=2\n$ false\n$ voltwright assess nothing.yaml\n```\n",
    "an order that nobody understands": "Put into `a.yaml`:\n\n```yaml\na: 1\n```\n",
    "a section that is not there": "Write `a.yaml`:\n\n```yaml\na: 1\n```\n"
    "In `a.yaml`, replace the section `b` with:\n\n```yaml\nb: 1\n```\n",
}


@pytest.mark.parametrize("what", WRONG)
def test_a_wrong_page_is_found_out(what: str, tmp_path: Path) -> None:
    with pytest.raises(AssertionError):
        perform(WRONG[what], tmp_path)


def test_a_file_is_changed_as_the_page_says(tmp_path: Path) -> None:
    page = (
        "Write `a.yaml`:\n\n```yaml\na:\n  b: 1\n\n  c: 2\nd: 3\n```\n"
        "In `a.yaml`, replace the section `a` with:\n\n```yaml\na: 4\n```\n"
        "In `a.yaml`, replace the line `d: 3` with:\n\n```yaml\nd: 5\n```\n"
        "Add to the end of `a.yaml`:\n\n```yaml\ne: 6\n```\n"
        "An example of something else:\n\n```yaml\nz: 0\n```\n"
    )
    perform(page, tmp_path)
    assert (tmp_path / "a.yaml").read_text(encoding="utf-8") == "a: 4\nd: 5\ne: 6\n"
