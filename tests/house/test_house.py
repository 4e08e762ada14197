"""Habits of the repository that can be checked."""

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "src" / "voltwright"
MODULES = sorted(PACKAGE.rglob("*.py"))
LONGEST_FILE = 450  # lines


def output(*words: str) -> str:
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, f"{words[:3]}: exit code {done.returncode}\n{done.stdout}\n{done.stderr}"
    return done.stdout


def name_of(file: Path) -> str:
    return file.relative_to(ROOT).as_posix()


def texts() -> Iterator[tuple[str, str]]:
    """Every text file that is tracked, or would be on the next `git add`."""
    listed = output("git", "ls-files", "-z", "--cached", "--others", "--exclude-standard")
    for name in filter(None, listed.split("\0")):
        file = ROOT / name
        content = file.read_bytes() if file.is_file() else b"\0"
        if b"\0" not in content:
            yield name, content.decode()


def local_names() -> list[str]:
    """Hosts that pip fetches from on this machine, and this machine's own folders."""
    settings = output(sys.executable, "-m", "pip", "config", "list")
    settings += "".join(re.findall(r"default\s+https?://\S+", output(sys.executable, "-m", "pip", "install", "--help")))
    hosts = re.findall(r"https?://(?:[^\s/@]*@)?([^\s/:'\")]+)", settings)
    return [*hosts, f"{ROOT}/", *([f"{Path.home()}/"] if Path.home() != Path("/") else [])]


# Written so that no pattern matches itself.
GIVES_AWAY = [
    r"--(?:extra-)?index[-]url",
    r"https?://[^\s/]+/(?:[^\s/]+/)*simple(?:/|\b)",
    r"https?://[^\s/]+/debian[/\s]",
    r"file:/{2}/",
    r"(?<![\w.])/(?:root|home/\w+|Users/\w+)[/]",
]


def test_no_file_gives_away_a_registry_or_a_machine() -> None:
    pattern = re.compile("|".join([*GIVES_AWAY, *map(re.escape, local_names())]))
    found = [f"{name}: {match[0]}" for name, text in texts() for match in pattern.finditer(text)]
    assert found == []


@pytest.mark.parametrize("kind", ["run", "test"])
def test_lock_holds_versions_and_hashes_only(kind: str) -> None:
    line = re.compile(r"[a-z0-9-]+==[\w.+]+( ; [^/\\]+)? \\|    --hash=sha256:[0-9a-f]{64}( \\)?")
    lines = (ROOT / "requirements" / f"{kind}.txt").read_text(encoding="utf-8").splitlines()
    assert [text for text in lines if not line.fullmatch(text)] == []
    assert any(text.startswith("hatchling==") for text in lines), "the build backend must be in the lock"


def test_locks_agree() -> None:
    run, test = ((ROOT / "requirements" / f"{kind}.txt").read_text(encoding="utf-8") for kind in ("run", "test"))
    pins = [set(re.findall(r"^\S+==[^\\]+", lock, flags=re.MULTILINE)) for lock in (run, test)]
    assert pins[0] <= pins[1]


def test_readme_speaks_of_real_targets() -> None:
    targets = set(re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(encoding="utf-8"), flags=re.MULTILINE))
    code = re.findall(r"`[^`]+`|^```.*?^```", (ROOT / "README.md").read_text(encoding="utf-8"), flags=re.M | re.S)
    named = {target for piece in code for target in re.findall(r"\bmake ([a-z]+)", piece)}
    assert {"run", "test"} <= named
    assert named <= targets


@pytest.mark.parametrize("file", MODULES, ids=name_of)
def test_module_is_one_room(file: Path) -> None:
    assert len(file.read_text(encoding="utf-8").splitlines()) <= LONGEST_FILE


@pytest.mark.parametrize("folder", sorted({file.parent for file in MODULES}), ids=name_of)
def test_folder_says_in_one_sentence_what_lives_there(folder: Path) -> None:
    said = ast.get_docstring(ast.parse((folder / "__init__.py").read_text(encoding="utf-8")))
    assert said, "no docstring"
    assert said.endswith(".")
    assert re.findall(r"[.!?](?=\s|$)", said) == ["."], said


HEAVY = (
    "sympy",
    "sqlalchemy",
    "matplotlib",
    "xlsxwriter",
    "nicegui",
    "scipy.stats",
    "scipy.special",
    "pint",
)  # scipy's for bands alone


def test_assess_loads_nothing_heavy() -> None:
    program = (
        "import sys, voltwright\n"
        "voltwright.assess(voltwright.load('examples/coupe.yaml'), with_bands=False)\n"
        f"print(*[name for name in {HEAVY} if name in sys.modules])"
    )
    assert output(sys.executable, "-c", program).split() == []


def test_plots_load_matplotlib_only_when_they_are_drawn_and_never_its_windows() -> None:
    program = (
        "import sys, voltwright, voltwright.cli, voltwright.papers.write\n"
        "from voltwright.papers.design import design_paper\n"
        "paper = design_paper(voltwright.assess(voltwright.load('examples/coupe.yaml')))\n"
        "print('matplotlib' in sys.modules)\n"
        "voltwright.papers.write.pdf(paper)\n"
        "print('matplotlib' in sys.modules, 'matplotlib.pyplot' in sys.modules)"
    )
    assert output(sys.executable, "-c", program).split() == ["False", "True", "False"]


def test_the_command_line_loads_the_database_for_the_records_alone(tmp_path: Path) -> None:
    program = (
        "import os, sys, voltwright.cli\n"
        f"for words in (['assess', 'examples/coupe.yaml', '--no-bands'], ['backup', '{tmp_path}/saved.db']):\n"
        f"    os.environ['VOLTWRIGHT_HOME'], out, sys.stdout = '{tmp_path}', sys.stdout, open(os.devnull, 'w')\n"
        "    try: voltwright.cli.main(words)\n"
        "    except SystemExit: pass\n"
        "    sys.stdout = out\n"
        "    print('sqlalchemy' in sys.modules)"
    )
    assert output(sys.executable, "-c", program).split() == ["False", "True"]


def test_the_command_line_loads_the_web_for_the_server_alone() -> None:
    program = (
        "import os, sys, voltwright.cli\n"
        "out, sys.stdout = sys.stdout, open(os.devnull, 'w')\n"
        "try: voltwright.cli.main(['assess', 'examples/coupe.yaml', '--no-bands'])\n"
        "except SystemExit: pass\n"
        "sys.stdout = out\n"
        "print(*[name for name in ('nicegui', 'fastapi', 'starlette', 'uvicorn', 'asyncio') if name in sys.modules])"
    )
    assert output(sys.executable, "-c", program).split() == []


def test_imports_go_down_only() -> None:
    assert "0 broken" in output(str(Path(sys.executable).with_name("lint-imports")), "--no-cache")
