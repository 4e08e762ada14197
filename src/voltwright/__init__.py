"""Voltwright: one document describes one conversion; from it every number, check, drawing and paper is computed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from voltwright.build.reader import BuildFile, load
    from voltwright.rules.dossier import Dossier, assess

__all__ = ["BuildFile", "Dossier", "assess", "load"]

_HOMES = {
    "BuildFile": "voltwright.build.reader",
    "load": "voltwright.build.reader",
    "Dossier": "voltwright.rules.dossier",
    "assess": "voltwright.rules.dossier",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'voltwright' has no attribute '{name}'")
    import importlib

    return getattr(importlib.import_module(_HOMES[name]), name)
