"""Compiles laws and loops, and keeps what was compiled in a folder that knows which sources it was made of."""

from __future__ import annotations

import atexit
import functools
import hashlib
import importlib
import os
import shutil
import stat
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


KEPT = 3  # folders of earlier sources that stay


def cache_folder() -> Path:
    """Where compiled loops are kept: in the user's cache, or where the environment says, or else for this process only.

    What lies there is run, so the folder must belong to the user and nobody else may write into it.
    """
    base = os.environ.get("VOLTWRIGHT_CACHE") or os.environ.get("XDG_CACHE_HOME") or _home_cache()
    if base:
        folder = Path(base) / "voltwright" / f"kernels-{source_hash()}"
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            if os.access(folder, os.W_OK) and _is_ours(folder):
                os.utime(folder)
                _forget_old(folder)
                return folder
        except OSError:
            pass
    own = Path(tempfile.mkdtemp(prefix="voltwright-kernels-"))
    atexit.register(shutil.rmtree, own, ignore_errors=True)
    return own


def _home_cache() -> str:
    try:
        return str(Path.home() / ".cache")
    except RuntimeError:
        return ""


def _is_ours(folder: Path) -> bool:
    known = folder.stat()
    owner = getattr(os, "geteuid", lambda: known.st_uid)()
    return known.st_uid == owner and not known.st_mode & (stat.S_IWGRP | stat.S_IWOTH)


def _forget_old(folder: Path) -> None:
    """Take away the folders of earlier sources but for the last few."""
    others = sorted(folder.parent.glob("kernels-*"), key=lambda each: each.stat().st_mtime, reverse=True)
    for old in others[KEPT + 1 :]:
        shutil.rmtree(old, ignore_errors=True)


# numba reads the folder when it is imported; where another library did that before, it is told below.
_FOLDER = str(cache_folder())
_before = os.environ.get("NUMBA_CACHE_DIR")
os.environ["NUMBA_CACHE_DIR"] = _FOLDER

import numba  # noqa: E402
from numba.np import linalg as blas  # noqa: E402

if _before is None:
    del os.environ["NUMBA_CACHE_DIR"]
else:
    os.environ["NUMBA_CACHE_DIR"] = _before


def _no_matrices() -> None:
    raise ImportError("no loop here multiplies matrices")


# numba looks for BLAS by importing all of scipy.linalg, a quarter of a second: told that there is none, it goes without.
_ensure_blas = blas.ensure_blas
blas.ensure_blas = _no_matrices
importlib.import_module("numba.np.arraymath")
blas.ensure_blas = _ensure_blas
numba.config.CACHE_DIR = _FOLDER  # type: ignore[attr-defined]

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
