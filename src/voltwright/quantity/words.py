"""Words around names that are filled in."""

from __future__ import annotations

_SPELLED_AS_A_VOWEL = ("msd",)  # said letter by letter: em, es, dee


def one(name: str) -> str:
    """A name with its article: "an inverter", "a charger", "an MSD"."""
    vowel = name[:1].casefold() in tuple("aeio") or name.casefold() in _SPELLED_AS_A_VOWEL
    return f"{'an' if vowel else 'a'} {name}"
