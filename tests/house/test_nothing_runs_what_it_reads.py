"""What others wrote is read and never run: the program holds no way to do so."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[2] / "src"
FILES = sorted(SOURCE.rglob("*.py"))
# Modules that make objects or code out of bytes, and those that hand a line to a shell.
MODULES = {
    "pickle",
    "cPickle",
    "_pickle",
    "cloudpickle",
    "dill",
    "joblib",
    "marshal",
    "shelve",
    "code",
    "codeop",
    "pty",
    "yaml",
}
CALLS = {"eval", "exec", "compile", "execfile", "__import__"}  # as plain names
METHODS = {"system", "popen", "read_pickle", "to_pickle", "unsafe_load", "full_load", "literal_eval"}
OPTIONS = {"shell": True, "allow_pickle": True, "typ": "unsafe"}  # as `numpy.load` and ruamel.yaml have them
# Where such a call takes nothing that anybody wrote but us.
KNOWN: set[tuple[str, str]] = set()


def found(text: str) -> Iterator[str]:
    """Whatever could run what is read."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            yield from (each.name for each in node.names if each.name.partition(".")[0] in MODULES)
        elif isinstance(node, ast.ImportFrom) and not node.level and (node.module or "").partition(".")[0] in MODULES:
            yield str(node.module)
        elif isinstance(node, ast.Call):
            yield from _of_call(node)


def _of_call(node: ast.Call) -> Iterator[str]:
    if isinstance(node.func, ast.Name) and node.func.id in CALLS:
        yield node.func.id
    if isinstance(node.func, ast.Attribute) and node.func.attr in METHODS:
        yield node.func.attr
    if isinstance(node.func, ast.Name | ast.Attribute) and ast.unparse(node.func).endswith("YAML") and node.args:
        yield "typ"
    for each in node.keywords:
        # An option that is worked out while the program runs is as bad as one that is set.
        if each.arg in OPTIONS and not (isinstance(each.value, ast.Constant) and each.value.value != OPTIONS[each.arg]):
            yield each.arg


@pytest.mark.parametrize("file", FILES, ids=[str(each.relative_to(SOURCE)) for each in FILES])
def test_nothing_is_unpickled_evaluated_or_handed_to_a_shell(file: Path) -> None:
    name = file.relative_to(SOURCE / "voltwright").as_posix()
    assert [each for each in found(file.read_text(encoding="utf-8")) if (name, each) not in KNOWN] == []


@pytest.mark.parametrize(
    "text",
    ["import pickle", "from pickle import loads", "import yaml", "eval('1')", "exec(x)", "subprocess.run(x, shell=True)",
     "subprocess.run(x, shell=y)", "numpy.load(x, allow_pickle=True)", "YAML(typ='unsafe')", "YAML('unsafe')", "os.system(x)",
     "frame.read_pickle(x)", "__import__(x)", "import marshal as m"],
)  # fmt: skip
def test_each_way_is_found(text: str) -> None:
    assert list(found(text))


@pytest.mark.parametrize(
    "text", ["re.compile(x)", "YAML(typ='rt')", "subprocess.run(x, shell=False)", "model.evaluate(x)"]
)
def test_what_is_harmless_is_not_found(text: str) -> None:
    assert not list(found(text))
