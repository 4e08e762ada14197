"""The fields of a build as a page shows them: one for every place of the schema that may be written."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property
from typing import Any

from voltwright.build.field_words import choice_words, field_words, group_words
from voltwright.build.in_words import InWords
from voltwright.build.paths import Spot, spot_at
from voltwright.build.reader import BuildFile, defaults, kind_at
from voltwright.build.variants import changed_path, changes_of, steps
from voltwright.parts.trips import trip_names, trip_title
from voltwright.services.actor import Actor, use_case
from voltwright.services.form_views import Choices
from voltwright.services.form_walk import Walk, Words, holds_more
from voltwright.services.shared import Shared, System, Which
from voltwright.services.views import FormView


@dataclass(frozen=True)
class Forms:
    """What stands in a build, what is assumed instead, and what may be written."""

    _shared: Shared

    @use_case("forms.show")
    def show(
        self, actor: Actor, which: Which, paths: Sequence[str], *, system: System = "metric"
    ) -> tuple[FormView, ...]:
        """The sections at some paths of the document, such as `donor` and `pack`; of a variant, with its changes made and marked.

        Raises AbsentError, BuildError.
        """
        forms = forms_of(self._shared.built(which), paths, system)
        if not which.variant:
            return tuple(forms)
        changed = changes_of(self._shared.built(replace(which, variant="")).build, which.variant)
        return tuple(_marked(each, tuple(changed)) for each in forms)


@dataclass(frozen=True)
class BuildWords:
    """The words of the build file, of one build."""

    built: BuildFile

    @cached_property
    def _words(self) -> InWords:
        return InWords(self.built.document.root, self.built.shelf)

    def field(self, path: str, here: Spot) -> Words:
        words = field_words(path)
        return Words(words.label, "", words.why, words.measure, here.words, self._choices(changed_path(path)))

    def _choices(self, path: str) -> Choices:
        if path.startswith("variants.") and path.endswith(".of"):
            return tuple((each, each) for each in self.built.build.variants if path != f"variants.{each}.of")
        if kind := kind_at(path):
            return tuple((each, self._words.part(each)) for each in self.built.shelf.ids(kind))
        if path == "brief.range_trip" or (path.startswith("duty.trips.") and path.endswith(".trip")):
            own = self.built.build.duty.trips if path == "brief.range_trip" else ()
            return (*((each.name, each.name) for each in own), *((each, trip_title(each)) for each in trip_names()))
        return tuple(choice_words(path).items())

    def label(self, path: str, name: str) -> str:
        return self._words.place(changed_path(path)) if path != changed_path(path) else self._words.part(name)

    def told(self, path: str, value: Any) -> str:
        path = changed_path(path)
        if self._choices(path) or (isinstance(value, str) and "/" not in value):
            return ""
        said = self._words.value(path, value)
        return "" if said == str(value) else said

    def called(self, item: Any) -> str:
        return self._words.called(item)

    def group(self, path: str) -> tuple[str, str]:
        words = group_words(path)
        return words.title, words.one

    def is_assumed(self, path: str) -> bool:
        return path in _assumed()

    def is_part(self, path: str) -> bool:
        return bool(kind_at(path))


def forms_of(built: BuildFile, paths: Sequence[str], system: System = "metric") -> Iterator[FormView]:
    """A form for each path; single values at the top of the document share the first one."""
    walk, root = Walk(system, BuildWords(built)), built.document.root
    single = tuple(path for path in paths if not holds_more(_at(path)))
    if single:
        fields = tuple(walk.field(_at(each), each, root.get(each), getattr(built.build, each)) for each in single)
        yield FormView("", "The build", "", fields=fields)
    for path in paths:
        if path not in single:
            yield walk.group(_at(path), path, root.get(path), getattr(built.build, path))


def _marked(form: FormView, changed: tuple[str, ...]) -> FormView:
    """A form in which the fields that a variant changes say so."""
    fields = tuple(replace(each, otherwise=_is_among(each.path, changed)) for each in form.fields)
    return replace(form, fields=fields, groups=tuple(_marked(each, changed) for each in form.groups))


def _is_among(path: str, changed: tuple[str, ...]) -> bool:
    return any(path == each or path.startswith(f"{each}.") or each.startswith(f"{path}.") for each in changed)


@cache
def _assumed() -> frozenset[str]:
    """The paths at which something is assumed where nothing is said."""
    return frozenset(each.path for each in defaults())


def _at(path: str) -> Spot:
    found = spot_at(tuple(steps(path)))
    assert found is not None, path
    return found
