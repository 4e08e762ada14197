"""A car's files: a name is a label, a type is looked at, and nothing that a browser would run is kept."""

from __future__ import annotations

import pytest

from staff import ANN, BEN, CAT
from voltwright.quantity.errors import AbsentError, EntryError
from voltwright.services.views import BuildRow
from voltwright.services.workshop import Workshop

PNG = b"\x89PNG\r\n\x1a\n and so on"


def test_a_photograph_is_kept(shop: Workshop, coupe: BuildRow) -> None:
    kept = shop.attachments.add(BEN, coupe.car, "rear axle, left.PNG", PNG, note="before")
    assert (kept.name, kept.note, kept.who, kept.size) == ("rear axle, left.PNG", "before", "Ben", len(PNG))
    file = shop.attachments.read(CAT, coupe.car, kept.id)
    assert (file.name, file.media_type, file.content) == ("rear axle, left.PNG", "image/png", PNG)


@pytest.mark.parametrize("name", [
    "../../records.db", "..", ".", "", "  ", "/etc/passwd.txt", "C:\\Windows\\x.png", "a/b.png", ".hidden.png", "x\x00.png",
    "x\n.png", "photo\u202egnp.exe.png", "CON:.png", "x?.png", "a" * 300 + ".png",
])  # fmt: skip
def test_hostile_names_are_refused(shop: Workshop, coupe: BuildRow, name: str) -> None:
    with pytest.raises(EntryError):
        shop.attachments.add(BEN, coupe.car, name, PNG)
    assert shop.attachments.list(CAT, coupe.car) == ()


@pytest.mark.parametrize(("name", "content", "says"), [
    ("page.html", b"<script>", "of no type that is kept"),
    ("drawing.svg", b"<svg onload='x'/>", "of no type that is kept"),
    ("can.blf", b"LOGG", "of no type that is kept"),
    ("can.asc", b"date", "of no type that is kept"),
    ("noending", PNG, "of no type that is kept. Allowed: names that end in .jpg, .*, .dxf. To mend it: save it as"),
    ("png", PNG, "of no type that is kept"),
    ("photo.png", b"<html><script>", "does not hold what its name says"),
    ("ticket.pdf", PNG, "does not hold what its name says"),
    ("trace.csv", b"\xff\xfe\x00s", "does not hold what its name says"),
    ("empty.txt", b"", "is empty"),
    ("long.csv", b"1,2\n" * 3_000_001, "12 MB.*make it smaller"),
])  # fmt: skip
def test_what_is_no_such_file_is_refused(shop: Workshop, coupe: BuildRow, name: str, content: bytes, says: str) -> None:
    with pytest.raises(EntryError, match=says):
        shop.attachments.add(BEN, coupe.car, name, content)


def test_a_file_is_read_with_its_own_car_alone(shop: Workshop, coupe: BuildRow) -> None:
    kept = shop.attachments.add(BEN, coupe.car, "axle.png", PNG)
    other = shop.cars.start(ANN, "another")
    with pytest.raises(AbsentError, match=f"no attachment {kept.id} of car {other.id}"):
        shop.attachments.read(CAT, other.id, kept.id)


def test_a_name_that_came_with_a_folder_leads_nowhere(shop: Workshop, coupe: BuildRow) -> None:
    records = shop._shared.records
    kept = records.attachments.add(coupe.car, "logs/../../x.csv", b"1", who="import", at=shop._shared.clock())
    assert shop.attachments.read(CAT, coupe.car, kept.id).name == "x.csv"
