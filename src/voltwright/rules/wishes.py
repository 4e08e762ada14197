"""Reads what the customer wants kept: which works would go against it. Plain words, listed here and in the how-to."""

from __future__ import annotations

import re
from dataclasses import dataclass

from voltwright.build.brief import Brief
from voltwright.build.works import Work
from voltwright.parts.alterations import HARMFUL, SHELL, Kind, Where, in_words

KINDS: dict[str, Kind] = {
    "hole": "hole", "drill": "hole", "drilling": "hole", "cut": "cut", "cutting": "cut", "weld": "weld",
    "welding": "weld", "glue": "bonded", "bonding": "bonded",
}  # fmt: skip
PLACES: dict[str, frozenset[Where]] = {
    "body": SHELL, "shell": SHELL, "bodywork": SHELL, "bonnet": frozenset(("body",)), "wing": frozenset(("body",)),
    "chassis": frozenset(("chassis",)), "frame": frozenset(("chassis",)), "floor": frozenset(("floor",)),
    "bulkhead": frozenset(("bulkhead",)), "boot": frozenset(("boot",)), "trunk": frozenset(("boot",)),
    "tunnel": frozenset(("gearbox-tunnel",)), "roof": frozenset(("roof",)), "dashboard": frozenset(("dashboard",)),
    "dash": frozenset(("dashboard",)), "instrument": frozenset(("dashboard",)), "cabin": frozenset(("cabin",)),
    "interior": frozenset(("cabin", "dashboard")), "seat": frozenset(("cabin",)), "upholstery": frozenset(("cabin",)),
    "suspension": frozenset(("suspension",)), "axle": frozenset(("axle",)), "steering": frozenset(("steering",)),
    "brake": frozenset(("brakes",)), "gearbox": frozenset(("gearbox",)), "transmission": frozenset(("gearbox",)),
}  # fmt: skip
_NOUNS = {"hole": "hole", "cut": "cut", "weld": "weld", "bonded": "bonding", "removed": "removal"}
PUT_BACK = ("put back", "reversible", "undone", "as it was", "returned to original")
EMPTY_WORDS = frozenset(
    ("with", "that", "must", "stay", "keep", "kept", "original", "should", "from", "they", "have", "every")
)


@dataclass(frozen=True)
class Wish:
    """One thing to be kept, as it was read: works of these kinds at these places go against it.

    `words`: where neither a kind nor a place was recognised, works whose name has one of these words.
    """

    text: str
    kinds: frozenset[Kind]
    places: frozenset[Where]
    words: frozenset[str]
    put_back: bool

    def against(self, work: Work) -> bool:
        if self.words:
            return work.kind in HARMFUL and bool(self.words & _words(work.name))
        if not self.kinds and not self.places:
            return False
        return work.kind in (self.kinds or HARMFUL) and (not self.places or work.where in self.places)

    @property
    def as_read(self) -> str:
        """In which words it was understood."""
        what = "no " + ", ".join(_NOUNS[kind] for kind in sorted(self.kinds or HARMFUL))
        if self.words:
            return f"{what} whose name speaks of {' or '.join(sorted(self.words))}"
        return f"{what} in: {', '.join(sorted(map(in_words, self.places))) or 'the whole car'}"


def read_wish(text: str) -> Wish:
    """What a sentence asks; unknown words are looked for in the names of the works."""
    words = _words(text)
    kinds = frozenset[Kind](KINDS[word] for word in words if word in KINDS)
    places = frozenset[Where](place for word in words if word in PLACES for place in PLACES[word])
    if "engine bay" in text.lower():
        places |= frozenset[Where](("engine-bay",))
    put_back = any(each in text.lower() for each in PUT_BACK)
    rest = frozenset(word for word in words if len(word) > 3 and word not in EMPTY_WORDS)
    return Wish(text, kinds, places, frozenset() if kinds or places or put_back else rest, put_back)


def asks_to_be_put_back(brief: Brief) -> bool:
    """Whether the car must be able to be put back as it was."""
    return brief.reversible or any(read_wish(text).put_back for text in brief.keep)


def _words(text: str) -> frozenset[str]:
    """Words in small letters; `cuts` as `cut`, `chassis` as it is."""
    return frozenset(map(_singular, re.findall(r"[^\W\d_]+", text.lower())))


def _singular(word: str) -> str:
    return word if word in PLACES or len(word) < 4 or not word.endswith("s") or word.endswith("ss") else word[:-1]
