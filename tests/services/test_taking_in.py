"""Files that somebody sends become cars as the folder would; what is wrong is told with its place, and nothing is kept."""

from __future__ import annotations

import json

import pytest

from helpers import EXAMPLES
from route_files import GOLDEN as HILL
from route_files import drive, hill, track
from staff import ANN, BEN, CAT
from voltwright.parts.shelf import catalogue
from voltwright.quantity.errors import BuildError, EntryError, VoltwrightError
from voltwright.services import taking_in
from voltwright.services.views import POINTS, BuildRow, Which
from voltwright.services.workshop import Workshop

COUPE, VAN = ((EXAMPLES / f"{each}.yaml").read_bytes() for each in ("coupe", "van"))
TRACES = {name: (EXAMPLES / name).read_bytes() for name in ("bakery-round.csv", "coast-down.csv")}
(FITTED,) = (each for each in catalogue().ids("fuse") if f" {each}\n" in COUPE.decode())
FUSE = json.loads(json.dumps(catalogue()._raw[FITTED])) | {"id": "fuse/own", "title": "From the drawer"}
WITH_OWN = COUPE.replace(FITTED.encode(), b"fuse/own")


def test_a_build_file_becomes_a_new_car_each_time(shop: Workshop, coupe: BuildRow) -> None:
    text = shop.builds.read(CAT, Which(coupe.id)).text
    (one,) = shop.builds.take_in(BEN, {"build.yaml": text.encode()}).builds
    (two,) = shop.builds.take_in(BEN, {"build.yaml": text.encode()}, name=" Again ", customer="Dr Alder").builds
    assert len({coupe.car, one.car, two.car}) == 3
    assert shop.builds.read(CAT, Which(one.id)).text == text
    car = shop.cars.open(CAT, two.car).car
    assert (car.name, car.customer, car.who, two.who) == ("Again", "Dr Alder", "Ben", "Ben")
    was, now = (shop.figures.assess(CAT, Which(each), POINTS).figures for each in (coupe.id, two.id))
    assert was == now


def test_what_a_build_names_comes_with_it(shop: Workshop) -> None:
    with pytest.raises(BuildError, match=r"van\.yaml:\d+.*bakery-round\.csv"):
        shop.builds.take_in(BEN, {"van.yaml": VAN})
    assert shop.cars.list(CAT) == ()
    taken = shop.builds.take_in(BEN, {"van.yaml": VAN, **TRACES, "notes.docx": b"PK", ".DS_Store": b""})
    assert {each.name for each in shop.attachments.list(CAT, taken.builds[0].car)} == set(TRACES)
    assert set(taken.left) == {"notes.docx", ".DS_Store"}


def test_a_route_comes_with_the_build_and_can_be_replaced(shop: Workshop) -> None:
    """A drawn route out of a folder; then a recorded one of the same name, which counts from then on."""
    text = VAN.decode().replace("trace: bakery-round.csv", "route: round.gpx, speed: 50 km/h")
    with pytest.raises(BuildError, match=r"van\.yaml:\d+.*round\.gpx"):
        shop.builds.take_in(BEN, {"van.yaml": text.encode(), **TRACES})
    (built,) = shop.builds.take_in(BEN, {"van.yaml": text.encode(), **TRACES, "round.gpx": HILL.read_bytes()}).builds

    def way() -> float:
        known = shop.figures.assess(CAT, Which(built.id), POINTS).figures["road.climb.town"]
        assert known.value is not None
        return known.value

    before = way()
    shop.attachments.add(BEN, built.car, "round.gpx", track(drive(600, lambda t: 12.0, hill)).encode())
    assert way() != before


def test_a_datasheet_comes_with_the_build_and_is_then_on_the_shelf(shop: Workshop) -> None:
    with pytest.raises(BuildError, match=r"build\.yaml:\d+.*fuse/own"):
        shop.builds.take_in(BEN, {"build.yaml": WITH_OWN})
    shop.builds.take_in(BEN, {"build.yaml": WITH_OWN, "fuse.json": json.dumps(FUSE).encode()})
    assert "fuse/own" in {each.id for each in shop.parts.list(CAT, "fuse")}
    shop.builds.take_in(BEN, {"build.yaml": WITH_OWN})


@pytest.mark.parametrize("around", ["", "cars/", "all/of/them/"])
def test_a_folder_of_an_export_comes_as_it_was(shop: Workshop, around: str) -> None:
    """However many folders the browser names around it."""
    about = 'name: "Müller\'s van"\ncustomer: "The bakery"\n'.encode()
    files = {"car.yaml": about, "first.yaml": VAN, "second.yaml": VAN, **TRACES, "ticket.pdf": b"%PDF-1.7"}
    taken = shop.builds.take_in(BEN, {f"{around}van/{name}": content for name, content in files.items()})
    (car,) = shop.cars.list(CAT)
    assert (car.name, car.customer) == ("Müller's van", "The bakery")
    assert [each.name for each in taken.builds] == ["first", "second"]
    assert {each.name for each in shop.attachments.list(CAT, car.id)} == {*TRACES, "ticket.pdf"}


@pytest.mark.parametrize(
    ("files", "told"),
    [
        ({}, "Nothing was sent"),
        ({"speed.csv": b"x"}, "There is no build file"),
        ({"../build.yaml": COUPE}, "is not the plain name"),
        ({"/etc/build.yaml": COUPE}, "is not the plain name"),
        ({"C:\\build.yaml": COUPE}, "is not the plain name"),
        ({"a\x00.yaml": COUPE}, "is not the plain name"),
        ({f"{'a' * 300}.yaml": COUPE}, "too long"),
        ({f"{'a/' * 9}b.yaml": COUPE}, "too many folders"),
        ({"a.yaml": COUPE, "A.yaml": COUPE}, "have one name"),
        ({"build.yaml": b"title: \xff\n"}, r"build\.yaml.*UTF-8"),
        ({"build.yaml": COUPE.replace(b"kg", b"feet", 1)}, r"build\.yaml:\d+"),
        ({"build.yaml": b"title: x\n"}, r"build\.yaml.*voltwright: 1"),
        ({"build.yaml": b"a: &a [1]\nb: *a\n"}, r"build\.yaml"),
        ({"build.yaml": b"x: " + b"1" * 1_100_000}, r"build\.yaml.*MB"),
        ({"build.yaml": COUPE, "part.json": b"{"}, r"part\.json"),
        ({"a/b.yaml/c.csv": b"x", "a/b.yaml": COUPE, "a/b.csv": b""}, "cannot be laid down"),
    ],
)
def test_what_is_wrong_is_told_with_its_place_and_nothing_is_kept(
    shop: Workshop, files: dict[str, bytes], told: str
) -> None:
    with pytest.raises(VoltwrightError, match=told) as caught:
        shop.builds.take_in(BEN, files)
    assert "tmp" not in str(caught.value)
    assert shop.cars.list(CAT) == ()


def test_too_much_is_refused(shop: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(taking_in, "MOST_BYTES", 1000)
    with pytest.raises(EntryError, match="MB together"):
        shop.builds.take_in(BEN, {"build.yaml": COUPE})
    monkeypatch.setattr(taking_in, "MOST_FILES", 1)
    with pytest.raises(EntryError, match="2 files were sent"):
        shop.builds.take_in(BEN, {"build.yaml": b"", "b.yaml": b""})


def test_a_name_that_cannot_be_is_told_before_anything_is_kept(shop: Workshop) -> None:
    with pytest.raises(EntryError, match="The name of the car has 300 characters"):
        shop.builds.take_in(BEN, {"build.yaml": COUPE}, name="x" * 300)
    assert shop.cars.list(ANN) == ()
