"""What nobody measured, those first that matter most."""

from __future__ import annotations

from typing import TYPE_CHECKING

from voltwright.web.pages.frame import DATA, Tag
from voltwright.web.pages.leaves import contents
from voltwright.web.pages.side import Side
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk, Seen


class AssumptionsSide(Side):
    """One line for each, with the way to the field where it is replaced by what was found out."""

    has_bands = True

    def draw(self, seen: Seen) -> None:
        made = seen.made
        assert made is not None
        if not made.assumptions:
            Tag("p", t("Nothing is assumed."))
            return
        Tag("p", t("Taken as likely until somebody finds it out; the first ones are worth most."))
        heads = (t("Taken as"), t("Why"), t("To find out"), t("What it is worth"))
        with Tag("table", classes="list cards assumptions"):
            with Tag("thead"), Tag("tr"):
                for head in (t("What"), *heads):
                    Tag("th", head, scope="col")
            with Tag("tbody"):
                for each in made.assumptions:
                    with Tag("tr"):
                        with Tag("th", scope="row"):
                            Tag("a", each.label, href=address_of_field(self.desk, each.path), title=each.path, **DATA)
                        for head, text in zip(heads, (each.value, each.reason, each.measure, each.worth), strict=True):
                            Tag("td", text, data_head=head, **DATA)


def address_of_field(desk: Desk, path: str) -> str:
    """Where a value is entered."""
    found = (
        leaf.name
        for _, leaves in contents()
        for leaf in leaves
        for each in leaf.paths
        if f"{path}.".startswith(f"{each}.")
    )
    return f"{desk.address(next(found, 'text'))}#f-{path}"
