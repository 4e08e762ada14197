"""Voltwright: one document describes one conversion; from it every number, check, drawing and paper is computed."""

from __future__ import annotations

import importlib
import sys
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from voltwright.build.reader import BuildFile, load
    from voltwright.rules.dossier import Dossier, assess

__all__ = ["BuildFile", "Dossier", "assess", "load"]

_HOMES = {"BuildFile": "build.reader", "load": "build.reader", "Dossier": "rules.dossier", "assess": "rules.dossier"}


class _Lazy(ModuleType):
    """Loads a public name when it is first used; `assess` stays the function although a folder has that name too."""

    def __getattribute__(self, name: str) -> Any:
        if name in _HOMES:
            return getattr(importlib.import_module(f"voltwright.{_HOMES[name]}"), name)
        return super().__getattribute__(name)


sys.modules[__name__].__class__ = _Lazy
