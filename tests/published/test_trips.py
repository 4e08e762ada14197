"""Trips of published law: sums, distances, durations, top speeds, phases and mean speeds, as the law and its copies state them."""

from __future__ import annotations

import hashlib
import json
from importlib.resources import files

import pytest

from voltwright.parts.trips import MILE_PER_HOUR, Trip, trip

GTR = "UN GTR 15 annex 1, as copied twice"
EPA = "EPA page of dynamometer schedules, as quoted elsewhere"
LAW = "40 CFR 1066.801, read"
MILE = 1609.344
FOLDER = files("voltwright.parts").joinpath("standards").joinpath("trips")


def kilometres_per_hour(known: Trip, begin: int, end: int) -> list[float]:
    """Speeds of the seconds after `begin` up to `end`; the first second of all counts with the first phase."""
    return [speed * 3.6 for speed in known.speed[begin + 1 if begin else 0 : end + 1]]


def windows(known: Trip) -> list[tuple[str, int, int]]:
    begins = [0, *(end for _, end in known.phases)]
    return [(name, begin, end) for (name, end), begin in zip(known.phases, begins, strict=False)]


# phase: sum of the speeds [km/h], distance [m], top speed [km/h], seconds below 1 km/h
CLASS_3B = {
    "low": (11140.3, 3095, 56.5, 156),
    "medium": (17121.2, 4756, 76.6, 48),
    "high": (25782.2, 7162, 97.4, 31),
    "extra high": (29714.9, 8254, 131.3, 7),
}
# the last column: greatest acceleration [m/s²], as half the change over two seconds
ACCELERATION = {"medium": 1.57, "high": 1.58, "extra high": 1.03}


@pytest.mark.parametrize("phase", CLASS_3B)
def test_phases_of_class_3b(published, phase: str) -> None:
    known = trip("wltc-3b")
    name, begin, end = next(each for each in windows(known) if each[0] == phase)
    speeds = kilometres_per_hour(known, begin, end)
    total, metres, top, still = CLASS_3B[name]
    law = "trip wltc-3b"
    published.check(
        source=GTR, law=law, asked=f"sum of the speeds, {phase} [km/h]", expected=total, got=sum(speeds), absolute=0.05,
        why="a checksum, printed to 0.1 km/h", keys=("road.consumption.wltc-3b", "road.range.wltc-3b"),
    )  # fmt: skip
    published.check(
        source=GTR, law=law, asked=f"distance, {phase} [m]", expected=metres, got=sum(speeds) / 3.6, absolute=0.6,
        why="printed to the metre",
    )  # fmt: skip
    published.check(
        source=GTR if phase != "low" else "UN GTR 15 annex 1, from memory", law=law, asked=f"top speed, {phase} [km/h]",
        expected=top, got=max(speeds), absolute=1e-9, why="a table",
    )  # fmt: skip
    stopped = sum(speed < 1.0 for speed in speeds) - (phase == "low")
    published.check(
        source="UN GTR 15, from memory", law=law, asked=f"seconds below 1 km/h, {phase}", expected=still, got=stopped,
        absolute=0.0, why="second 0, before the clock runs, is not counted",
    )  # fmt: skip


@pytest.mark.parametrize("phase", ACCELERATION)
def test_acceleration_of_class_3b(published, phase: str) -> None:
    known = trip("wltc-3b")
    _, begin, end = next(each for each in windows(known) if each[0] == phase)
    v = known.speed
    got = max((v[at + 1] - v[at - 1]) / 2 for at in range(begin + 1, min(end, len(v) - 2) + 1))
    published.check(
        source=GTR, law="trip wltc-3b", asked=f"greatest acceleration, {phase} [m/s²]", expected=ACCELERATION[phase],
        got=got, absolute=0.005, why="printed to 0.01 m/s²; the mean of two seconds",
    )  # fmt: skip


def test_whole_class_3b(published) -> None:
    known = trip("wltc-3b")
    for asked, expected, got, width in (
        ("sum of the speeds [km/h]", 83758.6, sum(known.speed) * 3.6, 0.05),
        ("distance [m]", 23266, known.distance, 0.6),
        ("duration [s]", 1800, known.duration, 0.0),
    ):
        published.check(
            source=GTR, law="trip wltc-3b", asked=asked, expected=expected, got=got, absolute=width,
            why="printed to that digit",
        )  # fmt: skip
    for (name, _, end), expected in zip(windows(known), (589, 1022, 1477, 1800), strict=True):
        published.check(
            source=GTR if name != "low" else "UN GTR 15 annex 1, from memory", law="trip wltc-3b",
            asked=f"end of the phase {name} [s]", expected=expected, got=end, absolute=0.0, why="a table",
        )  # fmt: skip


def test_class_3b_is_not_3a(published) -> None:
    """Class 3a drives the medium and high phases more gently; a mixed-up table would show here."""
    known = trip("wltc-3b")
    for (name, begin, end), gentle in zip(windows(known)[1:3], (16995.7, 25646.0), strict=True):
        got = sum(kilometres_per_hour(known, begin, end)) - gentle
        published.check(
            source=GTR, law="trip wltc-3b", asked=f"how far the sum of {name} lies above that of class 3a [km/h]",
            expected={"medium": 125.5, "high": 136.2}[name], got=got, absolute=0.1, why="two sums printed to 0.1 km/h",
        )  # fmt: skip


# distance [m] and top speed [km/h], from memory
CLASS_2 = {"low": (3101, 51.4), "medium": (4737, 74.7), "high": (6792, 85.2), "extra high": (8019, 123.1)}


@pytest.mark.parametrize("phase", CLASS_2)
def test_phases_of_class_2(published, phase: str) -> None:
    known = trip("wltc-2")
    _, begin, end = next(each for each in windows(known) if each[0] == phase)
    speeds = kilometres_per_hour(known, begin, end)
    metres, top = CLASS_2[phase]
    memory = "UN GTR 15 annex 1, from memory"
    published.check(
        source=memory, law="trip wltc-2", asked=f"distance, {phase} [m]", expected=metres, got=sum(speeds) / 3.6,
        absolute=1.0, why="printed to the metre", keys=("road.consumption.wltc-2", "road.range.wltc-2"),
    )  # fmt: skip
    published.check(
        source=memory, law="trip wltc-2", asked=f"top speed, {phase} [km/h]", expected=top, got=max(speeds),
        absolute=1e-9, why="a table",
    )  # fmt: skip


# trip: seconds, miles, top and mean speed [mph]; None where nobody states it
SCHEDULES = {
    "udds": (1369, 7.45, 56.7, 19.59),
    "hwfet": (765, 10.26, 59.9, 48.3),
    "us06": (596, 8.01, 80.3, 48.37),
}


@pytest.mark.parametrize("name", SCHEDULES)
def test_schedules_of_the_united_states(published, name: str) -> None:
    known = trip(name)
    seconds, miles, top, mean = SCHEDULES[name]
    keys = (f"road.consumption.{name}", f"road.range.{name}")
    for asked, expected, got, width in (
        ("duration [s]", seconds, known.duration, 0.0),
        ("distance [mi]", miles, known.distance / MILE, 0.005),
        ("top speed [mph]", top, max(known.speed) / MILE_PER_HOUR, 1e-6),
        ("mean speed [mph]", mean, known.distance / known.duration / MILE_PER_HOUR, 0.05 if name == "hwfet" else 0.005),
    ):
        memory = ", from memory" if (name, asked[:4]) in (("us06", "dura"), ("us06", "mean"), ("udds", "mean")) else ""
        published.check(
            source=EPA + memory, law=f"trip {name}", asked=asked, expected=expected, got=got, absolute=width,
            why="printed to that digit", keys=keys,
        )  # fmt: skip


@pytest.mark.parametrize(("name", "miles", "width"), [("udds", 7.5, 0.05), ("hwfet", 10.2, 0.06), ("us06", 8.0, 0.05)])
def test_schedules_as_the_law_rounds_them(published, name: str, miles: float, width: float) -> None:
    published.check(
        source=LAW, law=f"trip {name}", asked="distance [mi]", expected=miles, got=trip(name).distance / MILE,
        absolute=width, why="the law says 'about'; 10.26 miles are 'about 10.2' there",
    )  # fmt: skip


def test_highway_schedule_as_the_law_states_it(published) -> None:
    known = trip("hwfet")
    source = "40 CFR 600.111-08, read"
    published.check(
        source=source, law="trip hwfet", asked="top speed [mph]", expected=60.0, got=max(known.speed) / MILE_PER_HOUR,
        absolute=0.11, why="the law rounds 59.9",
    )  # fmt: skip
    published.check(
        source=source, law="trip hwfet", asked="mean speed [mph]", expected=48.6,
        got=known.distance / known.duration / MILE_PER_HOUR, absolute=0.4,
        why="the law states 48.6, the table gives 48.3: perhaps without the standing seconds",
    )  # fmt: skip


FIRST = {20: 0.0, 21: 3.0, 22: 5.9, 23: 8.6, 24: 11.5, 100: 30.3, 164: 3.3, 172: 25.8, 186: 17.7}


@pytest.mark.parametrize(("second", "mph"), FIRST.items())
def test_city_schedule_second_by_second(published, second: int, mph: float) -> None:
    published.check(
        source="40 CFR part 86 appendix I (a), read", law="trip udds", asked=f"speed at {second} s [mph]", expected=mph,
        got=trip("udds").speed[second] / MILE_PER_HOUR, absolute=1e-6, why="a table",
    )  # fmt: skip


# part: begin, end, distance [km], mean speed [km/h], top speed [km/h]
PARTS = {"urban": (0, 780, 4 * 1.013, 18.7, 50.0), "extra-urban": (780, 1180, 6.955, 62.6, 120.0)}


@pytest.mark.parametrize("part", PARTS)
def test_new_european_driving_cycle(published, part: str) -> None:
    known = trip("nedc")
    begin, end, kilometres, mean, top = PARTS[part]
    assert (part, begin, end) in windows(known)
    speeds = known.speed[begin : end + 1]
    metres = sum(speeds)
    source = "summary of UN R83 on a slide, as copied"
    why = "the law's 1.013 km is theoretical; its operations add up to 1.018 km" if part == "urban" else "rounded"
    keys = ("road.consumption.nedc", "road.range.nedc")
    published.check(
        source=source, law="trip nedc", asked=f"distance, {part} [km]", expected=kilometres, got=metres / 1000,
        rel=0.006 if part == "urban" else 0.0005, why=why, keys=keys,
    )  # fmt: skip
    published.check(
        source=source, law="trip nedc", asked=f"mean speed, {part} [km/h]", expected=mean,
        got=metres / (end - begin) * 3.6, rel=0.006 if part == "urban" else 0.001, why=why,
    )  # fmt: skip
    published.check(
        source=source, law="trip nedc", asked=f"top speed, {part} [km/h]", expected=top, got=max(speeds) * 3.6,
        absolute=1e-9, why="a table",
    )  # fmt: skip


@pytest.mark.parametrize("name", json.loads(FOLDER.joinpath("index.json").read_text(encoding="utf-8")))
def test_file_is_the_one_that_was_checked(name: str) -> None:
    """The index keeps a fingerprint and the sum of each file, so that no edit goes unseen."""
    known = json.loads(FOLDER.joinpath("index.json").read_text(encoding="utf-8"))[name]
    assert hashlib.sha256(FOLDER.joinpath(f"{name}.csv").read_bytes()).hexdigest() == known["sha256"]
    assert sum(trip(name).speed) * 3.6 == pytest.approx(known["sum_km_per_hour"], abs=0.051)
    assert trip(name).duration == known["seconds"]
