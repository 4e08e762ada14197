"""The pages of a build: which sections of the document are written on each, and which question it answers."""

from __future__ import annotations

from dataclasses import dataclass

from voltwright.web.words import t


@dataclass(frozen=True)
class Leaf:
    """One page. `name` stands in its address, `paths` are written on it, `questions` are answered; `drawings`: the car is seen;
    `assumptions`: they are listed; `not_judged`: so is what nobody has judged."""

    name: str
    title: str
    paths: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    drawings: bool = False
    assumptions: bool = False
    not_judged: bool = False


def contents() -> tuple[tuple[str, tuple[Leaf, ...]], ...]:
    """All pages under the heads by which people look for them."""
    return (
        (t("The order"), (
            Leaf("summary", t("Summary"), drawings=True, not_judged=True),
            Leaf("donor", t("Donor"), ("donor",)),
            Leaf("brief", t("Brief"), ("title", "workshop", "currency", "country", "person_mass", "brief")),
            Leaf("duty", t("Duty"), ("duty",)),
        )),
        (t("The car"), (
            Leaf("mass", t("Weight"), ("fitted", "extras"), ("mass",), drawings=True),
            Leaf("pack", t("Battery"), ("pack",), ("pack",)),
            Leaf("drive", t("Drive"), ("drive",), ("drive",)),
            Leaf("road", t("On the road"), (), ("road",)),
            Leaf("charge", t("Charging"), ("charging", "supplies"), ("charge",)),
            Leaf("heat", t("Heat"), (), ("heat",)),
            Leaf("life", t("Battery life"), (), ("life",)),
            Leaf("brakes", t("Brakes"), ("braking",), ("brakes",)),
            Leaf("wiring", t("Electrics"), ("low_voltage", "loads_12v", "loads_traction", "comfort"), ("wiring",), not_judged=True),
            Leaf("works", t("Body work"), ("works",), ("works",)),
            Leaf("cost", t("Price"), ("costing",), ("cost",)),
        )),
        (t("The verdict"), (
            Leaf("findings", t("Findings")),
            Leaf("assumptions", t("Assumptions"), assumptions=True),
            Leaf("variants", t("Variants"), ("variants",)),
            Leaf("shelf", t("Parts shelf")),
        )),
        (t("The file"), (
            Leaf("papers", t("Papers")),
            Leaf("revisions", t("Revisions")),
            Leaf("text", t("Build file")),
        )),
    )  # fmt: skip


def leaf_of(name: str) -> Leaf | None:
    """The page of a name."""
    return next((each for _, leaves in contents() for each in leaves if each.name == name), None)


def leaf_that_writes(path: str) -> Leaf | None:
    """The page on which a path of the document is written."""
    top = path.split(".")[0]
    return next((each for _, leaves in contents() for each in leaves if top in each.paths), None)
