"""Builds for tests: an example with a few things changed."""

from __future__ import annotations

import copy
import functools
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from voltwright import cli
from voltwright.build.reader import BuildFile, from_document, load
from voltwright.build.variants import put
from voltwright.parts.shelf import Shelf
from voltwright.rules.dossier import Dossier, assess

EXAMPLES = Path(__file__).parents[1] / "examples"


@functools.cache
def example(name: str = "coupe") -> BuildFile:
    return load(EXAMPLES / f"{name}.yaml")


def changed(changes: dict[str, Any], name: str = "coupe", shelf: Shelf | None = None) -> BuildFile:
    """The example with values set at paths; None takes a value away. Its variants are left out."""
    base = example(name)
    root = copy.deepcopy(base.document.root)
    root.pop("variants", None)
    for path, value in changes.items():
        if value is None:
            _take(root, path)
        else:
            put(root, path, copy.deepcopy(value))
    return from_document(replace(base.document, root=root), shelf or base.shelf, base.folder)


def _take(root: Any, path: str) -> None:
    *parents, last = path.split(".")
    for part in parents:
        root = root[int(part)] if isinstance(root, list) else root[part]
    del root[int(last) if isinstance(root, list) else last]


def dossier(
    changes: dict[str, Any] | None = None,
    name: str = "coupe",
    *,
    with_bands: bool = False,
    system: str = "metric",
    shelf: Shelf | None = None,
    search: bool = False,
) -> Dossier:
    """The dossier of a changed example, without bands and without remedies searched for unless asked."""
    return assess(changed(changes or {}, name, shelf), with_bands=with_bands, system=system, search=search)


@functools.cache
def keys_as_it_is(name: str = "coupe") -> frozenset[str]:
    """What is found in an example as it is."""
    return frozenset(keys(dossier(name=name)))


def keys(made: Dossier) -> set[str]:
    return {finding.key for finding in made.findings}


class Ended(NamedTuple):
    """How a command ended."""

    code: int
    out: str
    err: str


Run = Callable[..., Ended]


def runner(capsys: pytest.CaptureFixture[str], folder: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs commands inside this process, in a folder of their own with a log of their own."""
    monkeypatch.setenv("VOLTWRIGHT_HOME", str(folder / "home"))
    monkeypatch.chdir(folder)

    def command(*words: str | Path) -> Ended:
        with pytest.raises(SystemExit) as caught:
            cli.main([str(word) for word in words])
        captured = capsys.readouterr()
        assert "Traceback" not in captured.out + captured.err
        return Ended(int(caught.value.code or 0), captured.out, captured.err)

    return command


def run_apart(*words: str | Path, **options: Any) -> subprocess.CompletedProcess[bytes]:
    """Runs a command in a process of its own, as a shell would; `stdout` and `env` as of subprocess."""
    environment = os.environ | {"PYTHONPATH": str(EXAMPLES.parent / "src")} | options.pop("env", {})
    environment.pop("PYTHONUNBUFFERED", None)  # set on some machines, where it hides what happens at the end
    return subprocess.run(
        [sys.executable, "-m", "voltwright", *words],
        env=environment,
        stderr=subprocess.PIPE,
        timeout=60,
        check=False,
        **options,
    )


@contextmanager
def nobody() -> Iterator[Path]:
    """A folder, and inside the block the rights of somebody who is not root."""
    folder = Path(tempfile.mkdtemp(prefix="voltwright-read-only-"))
    root = os.geteuid() == 0
    try:
        if root:
            os.chown(folder, 65534, 65534)
            os.seteuid(65534)
        yield folder
    finally:
        if root:
            os.seteuid(0)
        folder.chmod(0o700)
        shutil.rmtree(folder)
