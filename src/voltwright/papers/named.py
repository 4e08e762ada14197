"""Texts in which a path of the build file or the key of a figure stands, with what people call it in its place."""

from __future__ import annotations

import functools
import re
from collections import Counter
from collections.abc import Iterator

from voltwright.assess.keys import KEYS
from voltwright.build.field_words import fields, groups
from voltwright.build.in_words import BETWEEN, InWords
from voltwright.build.in_words import place as place_of

_TOKEN = re.compile(r"(?<![\w./“'-])[a-z][a-z0-9]*(?:_[a-z0-9]+|\.[a-z0-9_][a-z0-9_-]*)+(?![\w/])")


def named(text: str, words: InWords | None = None, *, beside: bool = False) -> str:
    """The text with labels for paths and keys; `beside`: each path stands behind its label, for whoever writes the file by hand.

    `words` knows what the items of lists are called.
    """

    def said(found: re.Match[str]) -> str:
        token = found[0]
        label = _label(token) or (words.place(token) if words and words.place(token) != token else "")
        if not label:
            return token
        if not beside:
            return f"“{label}”"
        before = text[: found.start()]
        return f"“{label}”: {token}" if before.count("(") > before.count(")") else f"“{label}” ({token})"

    return _TOKEN.sub(said, text)


def paths_in(text: str) -> tuple[str, ...]:
    """The paths of the build file that a text names, each once."""
    return tuple(dict.fromkeys(each for each in _tokens(text) if _label(each) and each not in KEYS))


def _tokens(text: str) -> Iterator[str]:
    return (found[0] for found in _TOKEN.finditer(text))


@functools.lru_cache(4096)  # people write some of the tokens
def _label(token: str) -> str:
    """What a path, a key, or the name of one single field is called; nothing where it is none of them."""
    if token in KEYS:
        return KEYS[token].label
    if "." not in token:
        return _by_name().get(token, "")
    label = place_of(token)
    last = label.rpartition(BETWEEN)[2]
    return "" if label == token else last if last in _by_name().values() else label


@functools.cache
def _by_name() -> dict[str, str]:
    """Sections at the top of the document, and fields that share neither name nor label with another."""
    count = Counter(each.label for each in fields().values())
    names = Counter(_last(path) for path in fields())
    known = {_last(path): each.label for path, each in fields().items() if count[each.label] == names[_last(path)] == 1}
    return known | {path.strip("[]{}"): each.title for path, each in groups().items() if path and "." not in path}


def _last(path: str) -> str:
    return path.rpartition(".")[2].strip("[]{}")
