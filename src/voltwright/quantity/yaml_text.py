"""YAML as the house reads and writes it: strict, plain, and with comments kept.

A scalar is text as it was typed, save whole numbers, true, false and null: no dates, no floats, no `<<`, no tags.
"""

# pyright: basic
# ruamel.yaml carries no types.

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Mapping
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq
from ruamel.yaml.composer import Composer
from ruamel.yaml.constructor import DuplicateKeyError
from ruamel.yaml.error import MarkedYAMLError
from ruamel.yaml.events import AliasEvent
from ruamel.yaml.nodes import MappingNode, ScalarNode, SequenceNode
from ruamel.yaml.representer import RoundTripRepresenter
from ruamel.yaml.resolver import VersionedResolver
from ruamel.yaml.tag import Tag

from voltwright.quantity.entry import Written, WrittenInt
from voltwright.quantity.errors import BuildError, Problem, VoltwrightError
from voltwright.quantity.grammar import is_behind_comma

Spots = Mapping[tuple[str, ...], tuple[int, int]]
MOST_VALUES = 4_000
DEEPEST = 20

_TAGS = {
    "null": re.compile(r"~|null|Null|NULL|"),
    "bool": re.compile(r"true|True|TRUE|false|False|FALSE"),
    "int": re.compile(r"[-+]?(0|[1-9][0-9]{0,15})"),
}


class _PlainResolver(VersionedResolver):
    """Knows null, true, false and whole numbers; everything else is text."""

    def resolve(self, kind: Any, value: Any, implicit: Any) -> Any:
        if kind is ScalarNode and implicit[0]:
            for name, pattern in _TAGS.items():
                if pattern.fullmatch(value):
                    return Tag(suffix=f"tag:yaml.org,2002:{name}")
        return super().resolve(kind, value, (False, True))


class _StrictComposer(Composer):
    """Refuses aliases, anchors, tags, and more values or levels than a person writes."""

    values = 0
    level = 0
    whole: Any = None

    def get_single_node(self) -> Any:
        self.whole = super().get_single_node()
        return self.whole

    def compose_node(self, parent: Any, index: Any) -> Any:
        event = self.parser.peek_event()
        problem = self._refused(event)
        if problem:
            raise BuildError(problem)
        self.values += 1
        self.level += 1
        node = super().compose_node(parent, index)
        self.level -= 1
        return node

    def _refused(self, event: Any) -> Problem | None:
        line = event.start_mark.line + 1
        if isinstance(event, AliasEvent) or getattr(event, "anchor", None):
            what = "an alias or anchor (& or *) stands here"
            return Problem(what, "plain values, or a text in quotes", "write the value out", line=line)
        if getattr(event, "tag", None):
            what = f"a tag ({str(event.tag)[:40]}) stands here"
            return Problem(what, "plain values, or a text in quotes", "write the value without the tag", line=line)
        if self.values >= MOST_VALUES:
            what = f"the file holds more than {MOST_VALUES} values"
            return Problem(what, "one conversion of one car", "write one file for each car", line=line)
        if self.level >= DEEPEST:
            what = f"values are nested more than {DEEPEST} deep"
            return Problem(what, f"up to {DEEPEST} levels", "check indentation and brackets", line=line)
        return None


class _Representer(RoundTripRepresenter):
    """Writes floats, and the scalars of a document, as people type them."""


_Representer.add_representer(float, lambda self, data: self.represent_str(repr(data)))
_Representer.add_representer(Written, lambda self, data: self.represent_str(str(data)))
_Representer.add_representer(WrittenInt, lambda self, data: self.represent_int(int(data)))


def _yaml() -> YAML:
    made = YAML(typ="rt", pure=True)
    made.Composer = _StrictComposer
    made.Resolver = _PlainResolver
    made.Representer = _Representer
    made.preserve_quotes = True
    made.allow_duplicate_keys = False
    made.width = 4096
    made.indent(mapping=2, sequence=4, offset=2)
    return made


def load_tree(text: str, file: str) -> tuple[Any, Spots]:
    """The tree of a text, comments kept, and where its scalars stand. Raises BuildError naming the line."""
    reading = _yaml()
    try:
        tree = reading.load(text)
        return tree, dict(_spots(reading.composer.whole, ()))
    except VoltwrightError as error:
        raise BuildError([Problem(p.what, p.allowed, p.mend, p.path, p.line, file) for p in error.problems]) from None
    except DuplicateKeyError as error:
        name = re.search(r'duplicate key "(.*?)" with', str(error.problem), re.S)
        what = f"'{name[1][:40]}' stands here twice" if name else "a name stands here twice"
        mend = "keep one of the two"
        if name and is_behind_comma(name[1]):
            mend = "write the decimal point as '.': inside brackets a comma ends the value"
        raise BuildError(Problem(what, "each name once", mend, line=_line(error), file=file)) from None
    except MarkedYAMLError as error:
        raise BuildError(_not_yaml(error.problem or error.context, _line(error), file)) from None
    except Exception as error:  # ruamel.yaml lets many kinds of errors escape from odd texts
        raise BuildError(_not_yaml(error, None, file)) from None


def _line(error: Any) -> int | None:
    mark = error.problem_mark or error.context_mark
    return mark.line + 1 if mark else None


def _not_yaml(cause: Any, line: int | None, file: str) -> Problem:
    words = " ".join(str(cause).split())[:160] or type(cause).__name__
    mend = "check indentation, colons and quotes"
    return Problem(f"this is not YAML: {words}", "lines such as 'title: My coupé'", mend, line=line, file=file)


def dump(tree: Any) -> str:
    """A tree as text, comments and order kept."""
    stream = io.StringIO()
    _yaml().dump(tree, stream)
    return stream.getvalue()


def _spots(node: Any, path: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], tuple[int, int]]]:
    """Each scalar that stands in one piece, by the steps to it, with its first character and the one behind its last."""
    if isinstance(node, MappingNode):
        for key, value in node.value:
            yield from _spots(value, (*path, str(key.value)))
    elif isinstance(node, SequenceNode):
        for index, value in enumerate(node.value):
            yield from _spots(value, (*path, str(index)))
    elif isinstance(node, ScalarNode) and node.style not in ("|", ">"):
        yield path, (node.start_mark.index, node.end_mark.index)


def scalar_text(value: Any) -> str:
    """One value as it may stand anywhere, inside brackets too."""
    row = CommentedSeq([value])
    row.fa.set_flow_style()
    return dump(row).strip()[1:-1]


__all__ = ["DEEPEST", "MOST_VALUES", "CommentedMap", "CommentedSeq", "Spots", "dump", "load_tree", "scalar_text"]
