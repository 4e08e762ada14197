"""Text that people wrote, made harmless for any renderer: nothing in it can act, hide or turn the line round."""

from __future__ import annotations

import re
import unicodedata

# Characters that show nothing but change how their neighbours are read: controls, and the overrides of direction.
_HIDDEN = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff")
SHOWN_INSTEAD = "\ufffd"
_LONG_WORD = re.compile(r"\S{25,}")
_LONG_PIECE = 20
_BREAK = "\u200b"


def inert(text: str) -> str:
    """The text with every control, override and lone surrogate shown as a replacement character; breaks become spaces."""
    return "".join(_harmless(character) for character in text)


def _harmless(character: str) -> str:
    if character in "\n\r\t\u2028\u2029":
        return " "
    if character in _HIDDEN or unicodedata.category(character) in ("Cc", "Cs"):
        return SHOWN_INSTEAD
    return character


def breakable(text: str) -> str:
    """The text with places where a long word may break: after its signs, or anywhere in a piece without them."""
    return _LONG_WORD.sub(lambda match: _with_breaks(match[0]), text)


def _with_breaks(word: str) -> str:
    pieces = re.findall(r"[^/._:,;-]*[/._:,;-]+|[^/._:,;-]+", word)
    return _BREAK.join(_BREAK.join(piece) if len(piece) > _LONG_PIECE else piece for piece in pieces)


def shortened(text: str, most: int) -> str:
    """At most so many characters, with an ellipsis where something is missing."""
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"
