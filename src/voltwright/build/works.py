"""What the chosen way does to the car."""

from __future__ import annotations

from typing import Annotated

from voltwright.build.base import Count, Frozen, Says, Text
from voltwright.parts.alterations import Kind, Where
from voltwright.quantity.entry import SmallLength


class Work(Frozen):
    """One thing that is done to the car: a hole, cut or weld, something bolted or bonded to it, or taken from it.

    `count` is how many alike, `size` the diameter of a hole or the length of a cut or weld. `load_bearing`: the metal there
    carries load (chassis, sill, strut tower, crossmember, seat or belt mounting). `undone_by` says how it is put back;
    `needed_by` which box, extra or fitted part needs it, by its name or its path.
    """

    name: Text
    kind: Kind
    where: Where
    load_bearing: bool = False
    count: Count = 1
    size: SmallLength | None = None
    undone_by: Text | None = None
    needed_by: Annotated[Text, Says("the name of a box or an extra, or a path such as drive.motor")] | None = None
