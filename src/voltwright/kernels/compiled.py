"""Compiles laws and loops, and keeps what was compiled in a folder that knows which sources it was made of."""

from __future__ import annotations

import functools
import hashlib
import importlib
import os
import sys
import tempfile
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

SOURCES = ("voltwright.physics", "voltwright.kernels")


def source_hash() -> str:
    """A hash of every source that a compiled loop may have been made of: numba does not notice an edited callee."""
    digest = hashlib.sha256()
    for package in SOURCES:
        for file in sorted(files(package).iterdir(), key=lambda each: each.name):
            if file.name.endswith(".py"):
                digest.update(file.name.encode())
                digest.update(file.read_bytes())
    return digest.hexdigest()[:16]


def cache_folder() -> Path:
    """Where compiled loops are kept: in the user's cache, or where the environment says, or else for this process only."""
    base = os.environ.get("VOLTWRIGHT_CACHE") or os.environ.get("XDG_CACHE_HOME") or _home_cache()
    folder = Path(base) / "voltwright" / f"kernels-{source_hash()}"
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        if os.access(folder, os.W_OK):
            return folder
    except OSError:
        pass
    return Path(tempfile.mkdtemp(prefix="voltwright-kernels-"))


def _home_cache() -> str:
    try:
        return str(Path.home() / ".cache")
    except RuntimeError:
        return tempfile.gettempdir()


# numba reads the folder when it is imported; where another library did that before, it is told below.
os.environ["NUMBA_CACHE_DIR"] = str(cache_folder())

import numba  # noqa: E402


def _without_matrices() -> None:
    """Load numba's array mathematics without its search for BLAS: that imports all of scipy.linalg, and no loop here needs it."""
    if "scipy.linalg" in sys.modules:
        return
    sys.modules["scipy.linalg"] = None  # type: ignore[assignment]  # an import of it now fails, as where there is no scipy
    try:
        importlib.import_module("numba.np.arraymath")
    finally:
        del sys.modules["scipy.linalg"]


_without_matrices()
numba.config.CACHE_DIR = os.environ["NUMBA_CACHE_DIR"]  # type: ignore[attr-defined]

_OPTIONS: dict[str, Any] = {"fastmath": True, "error_model": "numpy", "boundscheck": False}


@functools.cache
def law(function: Callable[..., Any]) -> Any:
    """A law of `physics`, compiled into whatever loop calls it."""
    return numba.njit(forceinline=True, **_OPTIONS)(function)


def inner(function: Callable[..., Any]) -> Any:
    """A part of a loop, compiled into it."""
    return numba.njit(forceinline=True, **_OPTIONS)(function)


def loop(function: Callable[..., Any]) -> Any:
    """A loop that Python calls: kept on disk, and free of the interpreter's lock while it runs."""
    return numba.njit(cache=True, nogil=True, **_OPTIONS)(function)
