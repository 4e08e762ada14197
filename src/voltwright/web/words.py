"""The words of the pages. All stand in one catalogue, `words.json`, by their English; a test finds what is not in it.

What the dossier says is not among them: it comes as it is printed, and is marked as not to be translated.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

PSEUDO = "pseudo"  # a language that no reader has, in which a word that was not looked up is seen
LANGUAGE = "VOLTWRIGHT_LANGUAGE"


def t(text: str, **filled: object) -> str:
    """A text in the language of the pages, with what stands in its braces. Raises KeyError for one that no catalogue has."""
    return _catalogue()[text].format(**filled)


@cache
def _catalogue() -> Mapping[str, str]:
    english = json.loads((files("voltwright.web") / "words.json").read_text(encoding="utf-8"))
    known = {each: each for each in english}
    return {each: f"⟦{each}⟧" for each in known} if os.environ.get(LANGUAGE) == PSEUDO else known
