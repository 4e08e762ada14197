"""The steps that put a finding right: what each would bring elsewhere, and what it brought once it was taken."""

from __future__ import annotations

import functools
from collections.abc import Iterable
from typing import TYPE_CHECKING

from nicegui import ui

from voltwright.services.views import EffectView, FindingView, RemedyView
from voltwright.web.pages.frame import DATA, Tag, inside
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk


class Steps:
    """Of one finding, each with its button for whoever may press it. What they do elsewhere is worked out when it is asked for."""

    def __init__(self, desk: Desk, found: FindingView) -> None:
        assert desk.seen is not None
        self._desk, self._key, self._beside = desk, found.key, list[tuple[RemedyView, Tag]]()
        for step in found.remedies:
            with Tag("div", classes="step"):
                with Tag("p", classes="remedy"):
                    Tag("span", step.says, **DATA)
                    if desk.may_edit:
                        self._button(step, desk.seen.draft.number)
                self._beside.append((step, Tag("div", classes="elsewhere")))
        self._ask = Tag("div")
        with self._ask:
            Tag("button", t("What else would these steps change?"), "quiet", type_="button").on(
                "click", desk.doing(self._look)
            )

    def _button(self, step: RemedyView, since: int) -> None:
        words = t("Take this step: {says}", says=step.says)
        work = self._desk.doing(functools.partial(take, self._desk, self._key, step, since))
        Tag("button", t("Take this step"), aria_label=words, type_="button").on("click", work)

    async def _look(self) -> None:
        desk, which = self._desk, self._desk.which
        found = await inside(lambda: desk.shop.mending.effects(desk.visit.actor(), which, self._key, system=desk.units))
        self._ask.clear()
        for step, place in self._beside:
            place.clear()
            with place:
                for each in found:
                    if each.remedy.changes == step.changes:
                        _elsewhere(each)


def _elsewhere(effect: EffectView) -> None:
    """First whether it breaks something, then all that it does in short."""
    if effect.other.appears:
        Tag("p", t("Would bring: {findings}", findings=titles(effect.other.appears)), "brings", **DATA)
    else:
        Tag("p", t("Would bring no new finding."), "brings none")
    Tag("p", effect.in_short, "of", **DATA)


async def take(desk: Desk, key: str, step: RemedyView, since: int) -> None:
    """A step is that of the draft for which it was drawn, whatever the page shows when it is pressed."""
    apply = desk.shop.mending.apply
    taken = await desk.edit(
        lambda actor, _: apply(actor, desk.build, key, step.changes, since=since, system=desk.units), again=False
    )
    if taken:
        tell_taken(desk, step)


def tell_taken(desk: Desk, step: RemedyView) -> None:
    """Which findings came and went with it, and the way back: of this step, whatever others save after it."""
    assert desk.seen is not None
    number, undo = desk.seen.draft.number, desk.shop.edits.undo

    async def take_back() -> None:
        await desk.edit(lambda actor, _: undo(actor, desk.build, since=number), again=False)

    moved = desk.seen.moved
    desk.told.say(t("Taken: {says}", says=step.says))
    with desk.told.more():
        if moved is not None:
            for words, found in ((t("Came with it:"), moved.appears), (t("Went with it:"), moved.goes)):
                with Tag("p"):
                    Tag("span", f"{words} ")
                    Tag("span", titles(found), **DATA) if found else Tag("span", t("no finding"))
        Tag("button", t("Undo this step"), "quiet", type_="button").on("click", desk.doing(take_back))
    ui.run_javascript("document.querySelector('.told:not(:empty)')?.scrollIntoView({block: 'center'})")


def titles(found: Iterable[FindingView]) -> str:
    """Findings in a line, each with its weight."""
    words = {"stop": t("stop"), "caution": t("caution"), "note": t("note")}
    return "; ".join(f"{words[each.severity]} “{each.title}”" for each in found)
