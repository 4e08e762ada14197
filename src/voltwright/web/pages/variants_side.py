"""Variants beside the base: compared, put on a paper, and their values changed in the forms of the build."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from voltwright.services.views import ChangeView, ComparisonView, FormView, JobView, OtherView, Which
from voltwright.web.pages.adding import select
from voltwright.web.pages.beside import otherwise, written
from voltwright.web.pages.form_page import Form
from voltwright.web.pages.frame import DATA, Tag, Told, inside
from voltwright.web.pages.leaves import Leaf, contents
from voltwright.web.pages.side import Side, making
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk, Seen

MOST = 8  # beside the build at once


class VariantsSide(Side):
    """The names come with the form; what is compared is worked out when it is asked for."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._name = desk.asked.get("variant", "")
        self._leaf: Leaf | None = None
        self._values: Form | None = None

    async def begin(self) -> None:
        with self.desk.own:
            self._choice = Tag("section", classes="group")
            self._place_of_values = Tag("div")
            self._told = Told()
            self._ready = Tag("ul", classes="downloads")
        if self._name:
            await self._open(self._name)

    def draw(self, seen: Seen) -> None:
        if self.desk.may_edit:
            with Tag("p", classes="buttons"):
                add = self.desk.doing(self._second_pack)
                Tag("button", t("Add a second pack in the load space"), "quiet", type_="button").on("click", add)
        variants = _variants(seen)
        if not variants:
            Tag(
                "p",
                t("This build has no variants yet. A variant is a named set of changes, assessed beside the build."),
            )
            return
        names = tuple(variants)
        compare, paper = (self.desk.doing(functools.partial(each, names)) for each in (self._compare, self._print))
        with Tag("p", classes="buttons"):
            Tag("button", t("Compare with the build"), type_="button").on("click", compare)
            Tag("button", t("Paper of the comparison"), type_="button").on("click", paper)
        if len(names) > MOST:
            Tag("p", t("Eight stand beside the build at once: the first eight."), "of")
        for name, form in variants.items():
            self._card(name, form)
        self._place = Tag("div", classes="comparison")

    def _card(self, name: str, form: FormView) -> None:
        typed = {each.path: each.typed for each in form.fields}
        with Tag("article", classes="item"):
            Tag("h3", name, **DATA)
            if why := typed.get(f"variants.{name}.why"):
                Tag("p", why, **DATA)
            if base := typed.get(f"variants.{name}.of"):
                Tag("p", t("Rests on {base}, whose changes come first.", base=base), "of")
            written(_in_words(name, form))
            with Tag("p", classes="buttons"):
                compare = self.desk.doing(functools.partial(self._compare, (name,)))
                words = t("Compare {what} with the build", what=name)
                Tag("button", t("Compare"), "quiet", type_="button", aria_label=words).on("click", compare)
                if self.desk.may_edit:
                    change = self.desk.doing(functools.partial(self._open, name))
                    words = t("Change values in {what}", what=name)
                    Tag("button", t("Change values"), "quiet", type_="button", aria_label=words).on("click", change)

    async def _second_pack(self) -> None:
        desk, add = self.desk, self.desk.shop.edits.second_pack
        await desk.edit(lambda actor, since: add(actor, desk.build, since=since))

    # Its values, in the forms of the build.

    async def _open(self, name: str) -> None:
        self._name, self._values = name, None
        self._place_of_values.clear()
        pages = tuple((each.name, each.title) for _, leaves in contents() for each in leaves if _has_values(each))
        self._choice.clear()
        with self._choice:
            Tag("h2", t("Values in {what}", what=name))
            Tag("p", t("Only what is otherwise is kept in the variant. An emptied field goes back to the build."), "of")
            with Tag("label", classes="field"):
                Tag("span", t("Page"), "label")
                now = self._leaf.name if self._leaf else ""
                select(pages, now, self._turn_to, aria_label=t("Page whose values change"))
        if self._leaf:
            await self._show_values()

    async def _turn_to(self, name: str) -> None:
        self._leaf = next((each for _, leaves in contents() for each in leaves if each.name == name), None)
        self._values = None
        self._place_of_values.clear()
        await self.desk.doing(self._show_values)()

    async def _show_values(self) -> None:
        desk, leaf, name = self.desk, self._leaf, self._name
        if leaf is None or desk.seen is None or desk.seen.made is None:
            return
        if name not in _variants(desk.seen):
            self._name, self._values = "", None
            self._choice.clear()
            self._place_of_values.clear()
            return
        which = Which(desk.build, edit=desk.which.edit, variant=name)
        forms = await inside(lambda: desk.shop.forms.show(desk.visit.actor(), which, leaf.paths, system=desk.units))
        if which.edit != desk.which.edit or name != self._name or leaf is not self._leaf:
            return  # what was asked later comes, or came, by itself
        if self._values is None:
            with self._place_of_values:
                self._values = Form(
                    self._save if desk.may_edit else None,
                    self._back,
                    desk.doing,
                    lambda path: "",  # the shelf puts a part into the build, not into a variant
                    f"variants.{name}.changes.",
                )
            self._values.show(forms)
            desk.form_is_kept()
        else:
            self._values.show(forms)

    async def follow(self) -> None:
        if self._values is not None:
            await self._show_values()

    async def _save(self, changes: Mapping[str, Any], taken: Callable[[], None]) -> None:
        desk, change = self.desk, self.desk.shop.edits.change
        await desk.edit(lambda actor, since: change(actor, desk.build, changes, since=since), self._values, taken=taken)
        desk.is_saved(*changes)

    async def _back(self, path: str) -> None:
        """What the variant changes goes back to the build's value; what it does not is taken out in the variant."""
        desk, edits = self.desk, self.desk.shop.edits
        assert desk.seen is not None
        inner = path.removeprefix(f"variants.{self._name}.changes.")
        known = _changes(self._name, _variants(desk.seen)[self._name])
        at = next((f"{path}{end}" for end in ("", ".value") if f"{inner}{end}" in known), "")
        if at:
            await desk.edit(lambda actor, since: edits.take_out(actor, desk.build, at, since=since), self._values)
        else:
            await desk.edit(
                lambda actor, since: edits.change(actor, desk.build, {path: None}, since=since), self._values
            )
        desk.is_saved(path)

    # Beside the build.

    def _whiches(self, names: tuple[str, ...]) -> list[Which]:
        which = self.desk.which
        return [Which(which.build, edit=which.edit, variant=each) for each in names[:MOST]]

    async def _compare(self, names: tuple[str, ...]) -> None:
        desk, which, others = self.desk, self.desk.which, self._whiches(names)
        desk.told.say(t("Being compared."))
        found = await inside(lambda: desk.shop.comparing.compare(desk.visit.actor(), which, others, system=desk.units))
        desk.told.clear()
        self._place.clear()
        with self._place:
            _side_by_side(found)
            for each in found.others:
                self._other(each, is_open=len(names) == 1)

    def _other(self, other: OtherView, *, is_open: bool) -> None:
        with Tag("details", classes="item", **({"open": ""} if is_open else {})):
            better, worse = (sum(each.verdict == word for each in other.moved) for word in ("better", "worse"))
            Tag("summary", other.name, **DATA)
            Tag("p", t("{better} figures are better, {worse} are worse; {new} findings are new, {gone} go.",
                       better=better, worse=worse, new=len(other.appears), gone=len(other.goes)))  # fmt: skip
            otherwise(self.desk, other)

    async def _print(self, names: tuple[str, ...]) -> None:
        desk, which, others = self.desk, self.desk.which, self._whiches(names)
        job = await inside(lambda: desk.shop.papers.compare(desk.visit.actor(), which, others, system=desk.units))
        self._ready.clear()
        self.wait_for(job, self._told, making)

    async def done(self, job: JobView) -> None:
        with self._ready, Tag("li"):
            href = f"/api/jobs/{job.id}/papers/comparison.pdf"
            Tag("a", t("Comparison (PDF)"), href=href, target="_blank")


def _variants(seen: Seen) -> dict[str, FormView]:
    """The form of each variant, by its name."""
    return {each.path.partition(".")[2]: each for form in seen.forms for each in form.groups}


def _changes(name: str, form: FormView) -> dict[str, str]:
    """What a variant itself changes, by the paths of the build."""
    below = f"variants.{name}.changes."
    return {each.path.removeprefix(below): each.typed for each in form.all_fields() if each.path.startswith(below)}


def _in_words(name: str, form: FormView) -> Iterator[ChangeView]:
    below = f"variants.{name}.changes."
    for each in form.all_fields():
        if each.path.startswith(below):
            value = dict(each.choices).get(each.typed) or each.shown or each.typed or t("taken out")
            yield ChangeView(each.path.removeprefix(below), each.label, value)


def _has_values(leaf: Leaf) -> bool:
    return bool(leaf.paths) and leaf.name != "variants"


def _side_by_side(found: ComparisonView) -> None:
    with Tag("div", classes="wide", tabindex="0"), Tag("table", classes="figures"):
        with Tag("thead"), Tag("tr"):
            Tag("th", t("Figure"), scope="col")
            for name in found.names:
                Tag("th", name, scope="col", **DATA)
        with Tag("tbody"):
            for label, *cells in found.rows:
                with Tag("tr"):
                    Tag("th", label, scope="row", **DATA)
                    for name, cell in zip(found.names, cells, strict=True):
                        Tag("td", cell, data_head=name, **DATA)
