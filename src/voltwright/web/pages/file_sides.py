"""Papers and tables to take away, and revisions."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from voltwright.services.views import EditView, JobView
from voltwright.web.pages.frame import DATA, Tag, Told, inside, moment
from voltwright.web.pages.side import Side, making
from voltwright.web.pages.waiting import Waiting
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Seen


class PapersSide(Side):
    """The papers are made as a job; the tables and the file are there at once."""

    async def begin(self) -> None:
        with self.desk.own:
            Tag("p", t("The papers are set from the build as it stands now, with bands and remedies."))
            Tag("button", t("Make the papers"), type_="button").on("click", self.desk.doing(self._make))
            self._told = Told()
            self._ready = Tag("ul", classes="downloads")

    def draw(self, seen: Seen) -> None:
        base = f"/api/builds/{self.desk.build}"
        edit = f"edit={seen.draft.number}&units={self.desk.units}"
        Tag("h2", t("Tables"))
        with Tag("ul", classes="downloads"):
            for name, words in (
                ("figures.csv", t("Figures (CSV)")), ("findings.csv", t("Findings (CSV)")), ("parts.csv", t("Parts (CSV)")),
            ):  # fmt: skip
                with Tag("li"):
                    Tag("a", words, href=f"{base}/tables/{name}?{edit}", download=name)
            with Tag("li"):
                Tag(
                    "a",
                    t("All tables in one workbook (XLSX)"),
                    href=f"{base}/tables/workbook.xlsx?{edit}",
                    download="workbook.xlsx",
                )
            with Tag("li"):
                Tag(
                    "a",
                    t("The whole dossier for programs (JSON)"),
                    href=f"{base}/dossier.json?{edit}",
                    download="dossier.json",
                )
        if hasattr(self, "_ready"):
            self._ready.clear()

    async def _make(self) -> None:
        desk, which = self.desk, self.desk.which
        job = await inside(lambda: desk.shop.papers.make(desk.visit.actor(), which, system=desk.units))
        self._ready.clear()
        self.wait_for(job, self._told, making)

    async def done(self, job: JobView) -> None:
        desk = self.desk
        names = await inside(lambda: desk.shop.papers.list(desk.visit.actor(), job.id))
        words = {
            "design.pdf": t("Design paper (PDF)"),
            "side-view.svg": t("Side view (SVG)"),
            "dossier.json": t("Dossier for programs (JSON)"),
        }
        with self._ready:
            for name in names:
                with Tag("li"):
                    Tag("a", words.get(name, name), href=f"/api/jobs/{job.id}/papers/{name}", target="_blank")


class RevisionsSide(Side):
    """Named saves, and every edit there was."""

    _listed = (0, 0)  # the newest edit and revision of which the list is

    async def follow(self) -> None:
        if self._listed[0] not in (0, self.desk.which.edit):
            await self._list()

    async def look_for_others(self) -> None:
        """A revision is no edit: whoever has the list open sees it all the same."""
        if self._listed[0] and self._listed[1] != await inside(self._newest):
            await self._list()

    def _newest(self) -> int:
        """The number of the newest revision."""
        desk, actor = self.desk, self.desk.visit.actor()
        car = desk.shop.builds.now(actor, desk.build).car.id
        found = desk.shop.cars.open(actor, car).revisions
        return max((each.number for each in found if each.build == desk.build), default=0)

    async def begin(self) -> None:
        desk = self.desk
        with desk.own:
            if desk.may_edit:
                Tag("h2", t("Save a revision"))
                with Tag("div", classes="saving"):
                    self._waiting = Waiting("revision")
                    for name, words in (("name", t("Name")), ("reason", t("Reason"))):
                        with Tag("label", classes="field"):
                            Tag("span", words, "label")
                            self._waiting.holds(Tag("input", type_="text", autocomplete="off"), name)
                    Tag("button", t("Save"), type_="button").on("click", desk.doing(self._save))
            self._place = Tag("div")
        await self._list()

    async def _save(self) -> None:
        desk, sent = self.desk, dict(self._waiting.typed)
        since, name, reason = desk.which.edit or 0, sent.get("name", ""), sent.get("reason", "")
        save = desk.shop.revisions.save
        await inside(lambda: save(desk.visit.actor(), desk.build, name, since=since, reason=reason))
        self._waiting.went_in(sent)
        desk.told.say(t("Saved."))
        await self._list()

    async def _list(self) -> None:
        desk = self.desk
        kept = await inside(lambda: desk.shop.revisions.list(desk.visit.actor(), desk.build))
        log = await inside(lambda: desk.shop.builds.told(desk.visit.actor(), desk.build))
        self._listed = desk.which.edit or 0, max((each.kept.number for each in kept), default=0)
        self._place.clear()
        with self._place:
            Tag("h2", t("Revisions"))
            if not kept:
                Tag("p", t("None was saved yet."))
            for each in reversed(kept):
                with Tag("details", classes="item"):
                    with Tag("summary"):
                        Tag("span", f"{each.kept.number}. {each.kept.name}, {each.kept.who}, ", **DATA)
                        moment(each.kept.at)
                    Tag("p", each.kept.reason, **DATA)
                    if not (each.same_parts and each.same_version):
                        Tag("p", t("Today it would be worked out with other parts, files or another Voltwright."), "of")
                    with Tag("dl", classes="numbers"):
                        for label, printed in each.headline:
                            Tag("dt", label, **DATA)
                            Tag("dd", printed, **DATA)
            Tag("h2", t("Edits"))
            heads = (t("Edit"), t("Where"), t("Before"), t("After"), t("Who"))
            with Tag("table", classes="list cards"):
                with Tag("thead"), Tag("tr"):
                    for head in (*heads, t("When")):
                        Tag("th", head, scope="col")
                with Tag("tbody"):
                    for each in log:
                        _edit(each, heads)

    def draw(self, seen: Seen) -> None:
        Tag(
            "p", t("A revision keeps the whole document, its figures and who saved it, and can never be changed."), "of"
        )


def _edit(edit: EditView, heads: tuple[str, ...]) -> None:
    """A row, or one for each place that the edit changed; the path is small below its words."""
    entry = edit.entry
    for number, line in enumerate(edit.lines):
        with Tag("tr"):
            Tag("td", str(entry.number) if number == 0 else "", data_head=heads[0], **DATA)
            with Tag("td", data_head=heads[1]):
                Tag("span", _WHAT[entry.kind](), "of") if entry.kind in _WHAT and number == 0 else None
                Tag("span", line.place, **DATA) if line.place else Tag("span", t("the text of the build file"))
                Tag("span", line.path, "path", **DATA)
            for head, text in zip(heads[2:4], (line.before, line.after), strict=True):
                Tag("td", _short(text), data_head=head, **DATA)
            Tag("td", entry.who, data_head=heads[4], **DATA)
            with Tag("td"):
                moment(entry.at)


_WHAT: Mapping[str, Callable[[], str]] = {
    "undo": lambda: t("taken back: "),
    "redo": lambda: t("brought back: "),
    "begin": lambda: t("begun: "),
}


def _short(text: str) -> str:
    return text if len(text) <= 80 else text[:79] + "…"
