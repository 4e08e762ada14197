"""Routes from GPX files: what is read, what is left out and said, and what is refused in which words."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from route_files import HEAD, clock, drive, held, hill, point, track
from voltwright.parts.gpx import MOST_BYTES, MOST_POINTS
from voltwright.parts.route_speeds import trip_of
from voltwright.parts.routes import Route, read_route
from voltwright.parts.trips import Trip
from voltwright.quantity.errors import BuildError, FileError, Problem, VoltwrightError

ROUTE = Path(__file__).parent / "golden" / "routes" / "hill.gpx"


def steady(seconds: int = 300, **more: bool) -> list[str]:
    return drive(seconds, lambda t: 15.0, hill, **more)


def read(points: list[str]) -> Route:
    return read_route(held(track(points)))


def refused(text: str | bytes) -> Problem:
    with pytest.raises(VoltwrightError) as caught:
        read_route(held(text))
    (problem,) = caught.value.problems
    assert problem.file == "drive.gpx"
    assert problem.what
    assert problem.allowed
    assert problem.mend
    return problem


# What is read.


def test_a_recording() -> None:
    route = read(drive(600, lambda t: 15.0 if 5 < t < 595 else 0.0, hill))
    assert route.has_times
    assert route.remarks == ()
    made = trip_of(route, "club")
    assert made.name == "club"
    assert made.duration == 595, "where the car stands at the end, the drive has ended"
    assert made.speed[0] == made.speed[-1] == 0
    assert made.speed[300] == pytest.approx(15.0, rel=0.02)
    assert made.profile is not None
    assert made.profile.climb == pytest.approx(route.climb)
    assert made.profile.has_times
    assert "as recorded" in made.source


def test_a_drawing_needs_a_speed() -> None:
    route = read_route(ROUTE)
    assert not route.has_times
    with pytest.raises(BuildError, match="no times"):
        trip_of(route, "x")
    calm, fast = trip_of(route, "x", speed=10.0), trip_of(route, "x", speed=25.0)
    assert max(calm.speed) == pytest.approx(10.0, rel=0.01)
    assert fast.duration < calm.duration
    assert calm.distance == pytest.approx(route.way)
    assert fast.distance == pytest.approx(route.way)
    change = np.abs(np.diff(np.array(fast.speed)))
    assert change.max() < 1.6


@pytest.mark.parametrize("speed", [0.001 / 3.6, 1e-9, 1e-300])
def test_a_speed_at_which_nobody_arrives(speed: float) -> None:
    """Said before there is a row for each second: they would fill the memory."""
    with pytest.raises(BuildError, match="at that speed"):
        trip_of(read_route(ROUTE), "x", speed=speed)


def test_there_and_back() -> None:
    route = read_route(ROUTE)
    there, both = trip_of(route, "x", speed=20.0), trip_of(route, "x", speed=20.0, round_trip=True)
    assert both.distance == pytest.approx(2 * there.distance, rel=1e-6)
    assert both.duration == 2 * there.duration
    assert both.profile is not None
    assert both.profile.height[0] == pytest.approx(both.profile.height[-1])
    assert "there and back" in both.title
    steps = np.array([(a + b) / 2 for a, b in zip(both.speed[:-1], both.speed[1:], strict=True)])
    assert float((steps * np.array(both.grade[:-1])).sum()) == pytest.approx(0.0, abs=0.01)


def test_a_bend_slows_the_car() -> None:
    corner = [point(10.0 * n) for n in range(60)] + [point(590.0, 10.0 * n) for n in range(60)]
    made = trip_of(read(corner), "x", speed=25.0)
    middle = made.speed[len(made.speed) // 2 - 3 : len(made.speed) // 2 + 4]
    assert min(middle) < 8.0
    assert max(made.speed) > 20.0


def test_a_stop_is_a_stop_however_the_receiver_wanders() -> None:
    def speed(t: float) -> float:
        return 0.0 if 200 <= t <= 260 else 15.0

    points = drive(500, speed)
    wander = np.random.default_rng(1).normal(0.0, 0.6, (500, 2))
    at = 15.0 * 200 - 7.5
    for second in range(202, 259):
        points[second] = point(at + wander[second, 0], wander[second, 1], None, second)
    made = trip_of(read(points), "x")
    assert max(made.speed[206:254]) == 0.0
    assert made.distance == pytest.approx(15.0 * 440, rel=0.01)


def test_points_that_no_car_reaches_are_left_out_and_said() -> None:
    points = steady()
    clean = read(points).way
    points[100] = point(1500.0, 4000.0, 30.0, 100)
    points[200] = point(3000.0, -900.0, 30.0, 200)
    route = read(points)
    assert route.way == pytest.approx(clean, rel=1e-3)
    assert route.remarks == ("2 points no car can reach in the time left out",)


def test_a_wrong_first_fix_is_left_out() -> None:
    points = steady()
    points[0] = point(-30_000.0, 0.0, 20.0, 0)
    assert read(points).way == pytest.approx(15.0 * 299, rel=0.01)


def test_doubled_points_change_nothing() -> None:
    points = steady()
    twice = [each for each in points for _ in range(2)]
    assert read(twice).way == pytest.approx(read(points).way, rel=1e-9)


def test_without_heights_it_is_level_and_said() -> None:
    route = read(drive(300, lambda t: 15.0))
    assert route.climb is None
    assert route.climb_removed is None
    assert not route.height.any()
    assert "climbing is unknown" in route.remarks[0]


def test_some_heights_are_missing_or_mean_nothing() -> None:
    points = steady()
    for second in (50, 51, 120):
        points[second] = point(15.0 * second, 0.0, None if second == 120 else -9999.0, second)
    route = read(points)
    assert route.climb == pytest.approx(read(steady()).climb, abs=2.0)
    assert route.remarks == ("3 of 301 points have no height; it is taken straight between others",)


def test_a_spike_in_the_heights_goes() -> None:
    points = steady()
    points[150] = point(15.0 * 150, 0.0, 900.0, 150)
    assert read(points).climb == pytest.approx(read(steady()).climb, abs=3.0)


def test_times_of_some_points_are_not_used() -> None:
    points = steady()
    points[7] = point(15.0 * 7, 0.0, 20.0)
    route = read(points)
    assert not route.has_times
    assert "1 of 301 points have no time" in route.remarks[0]


def test_a_gap_is_filled_and_said() -> None:
    points = steady(600)
    route = read(points[:200] + points[350:])
    assert route.way == pytest.approx(9000.0, rel=1e-3)
    assert "1 gap of more than 60 s" in route.remarks[0]


def test_tracks_before_routes_and_never_waypoints() -> None:
    line = "".join(point(20.0 * n).replace("trkpt", "rtept") for n in range(40))
    way = "".join(point(500.0 * n).replace("trkpt", "wpt") for n in range(4))
    text = track(drive(60, lambda t: 15.0)).replace("<trk>", f"{way}<rte>{line}</rte><trk>")
    assert read_route(held(text)).way == pytest.approx(900.0, rel=1e-3)
    only = HEAD + way + f"<rte>{line}</rte></gpx>"
    assert read_route(held(only)).way == pytest.approx(780.0, rel=1e-3)


def test_over_the_date_line() -> None:
    places = [(10.0, 179.9 + 0.01 * n) for n in range(20)]
    points = [f'<trkpt lat="{a}" lon="{(b + 180) % 360 - 180:.4f}"/>' for a, b in places]
    assert read(points).way == pytest.approx(19 * 1096.5, rel=1e-3)


@pytest.mark.parametrize(
    "stamp", ["2026-05-01T10:00:{:02d}", "2026-05-01T10:00:{:02d}Z", "2026-05-01T12:00:{:02d}+02:00"]
)
def test_zones_of_time(stamp: str) -> None:
    points = [point(10.0 * n).replace("></trkpt>", f"><time>{stamp.format(n)}</time></trkpt>") for n in range(50)]
    assert read(points).time[-1] == pytest.approx(49.0)


def test_from_a_folder(tmp_path: Path) -> None:
    path = tmp_path / "home.gpx"
    path.write_bytes(b"\xef\xbb\xbf" + track(steady()).encode())
    assert read_route(path).file == "home.gpx"
    with pytest.raises(FileError):
        read_route(tmp_path / "none.gpx")


# What is refused.


def in_line(number: int, line: str) -> Callable[[], str]:
    def made() -> str:
        points = steady()
        points[number] = line
        return track(points)

    return made


@pytest.mark.parametrize(
    ("made", "says", "line"),
    [
        (lambda: "", "no element found", 1),
        (lambda: "second,km_per_hour\n0,0\n", "syntax error", 1),
        (lambda: track(steady()).replace("</trkseg>", ""), "mismatched tag in column", 305),
        (lambda: "<kml><trkpt/></kml>", "begins with <kml>", 1),
        (lambda: HEAD + "</gpx>", "no point of a track", 1),
        (lambda: HEAD + '<trk><trkseg/></trk><wpt lat="1" lon="1"/></gpx>', "no point of a track", 1),
        (lambda: track([point(0.0)]), "only one point", 4),
        (lambda: track([point(0.0, 0.0, 1.0, n) for n in range(90)]), "within a few metres", 4),
        (in_line(5, '<trkpt lat="north" lon="-35"/>'), "latitude 'north' is not a number", 9),
        (in_line(5, '<trkpt lat="nan" lon="-35"/>'), "latitude 'nan' is not a number", 9),
        (in_line(5, '<trkpt lat="91" lon="-35"/>'), "latitude 91° is outside", 9),
        (in_line(5, '<trkpt lat="40" lon="181"/>'), "longitude 181° is outside", 9),
        (in_line(5, '<trkpt lat="40"/>'), "a point has no longitude", 9),
        (in_line(5, point(75.0).replace("></", "><ele>high</ele></")), "height 'high' is not a number", 9),
        (in_line(5, point(75.0).replace("></", "><time>noon</time></")), "'noon' is not a time", 9),
        (in_line(5, point(75.0, 0.0, 20.0, 2)), "the time runs backwards by 2 s", 9),
        (lambda: track(steady()[:100] + [point(9000.0 + 15 * n, 0.0, 1.0, 900 + n) for n in range(100)]), "no point over", 104),
        (lambda: track(steady() + [point(90_000.0 + n, 0.0, 1.0, 301 + n) for n in range(90)]), "no car gets to", 305),
        (lambda: track(drive(300, lambda t: 15.0, lambda way: 800.0 if way > 2000 else 0.0)), "rises or falls by", None),
    ],
)  # fmt: skip
def test_what_is_wrong(made: Callable[[], str], says: str, line: int | None) -> None:
    problem = refused(made())
    assert says in problem.what
    assert line is None or problem.line == line


BOMB = '<!DOCTYPE gpx [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'


@pytest.mark.parametrize(
    "head", [BOMB, "<!DOCTYPE gpx>", '<!DOCTYPE gpx SYSTEM "secret.txt">', '<!DOCTYPE gpx PUBLIC "a" "b">']
)
def test_no_document_type_is_read(head: str) -> None:
    problem = refused(track(steady()).replace("<gpx", f"{head}\n<gpx", 1))
    assert "document type or an entity" in problem.what
    assert problem.line == 2


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (track(steady()).encode("utf-16"), "not written as UTF-8"),
        (track(steady()).encode()[:-30], "unclosed token"),
        (b"\x00" * 1000, "not well-formed"),
        (track(steady()).replace("<trk>", "<trk><name>K\xf6ln</name>").encode("latin-1"), "not written as UTF-8"),
        (b"<gpx>" + b"<a>" * 40 + b"</a>" * 40 + b"</gpx>", "nested too deeply"),
        (HEAD.encode() + b"<!-- " + b" xmlns" * 100_000 + b" --></gpx>", "namespaces"),
    ],
)
def test_bytes_that_are_no_route(raw: bytes, says: str) -> None:
    assert says in refused(raw).what


def test_declared_encodings_do_not_matter() -> None:
    text = (
        track(steady()).replace('encoding="UTF-8"', 'encoding="ISO-8859-1"').replace("<trk>", "<trk><name>Köln</name>")
    )
    assert read_route(held(text)).way == pytest.approx(4500.0, rel=1e-3)


def test_days_without_end_are_refused() -> None:
    points = [point(100.0 * n, 0.0, 10.0, 3000.0 * n) for n in range(90)]
    with pytest.raises(BuildError, match="takes 74 hours"):
        trip_of(read(points), "x")


# Size and speed: bounds are generous, for a machine that does other things besides.


def test_a_hundred_thousand_points() -> None:
    text = track(drive(99_999, lambda t: 15.0, hill)).encode()
    assert len(text) < MOST_BYTES
    begun = time.process_time()
    route = read_route(held(text))
    trip_of(route, "x")
    assert time.process_time() - begun < 8.0
    assert route.way == pytest.approx(99_999 * 15.0, rel=2e-3)
    assert route.remarks == ("the file has 100000 points, of which one in 5 is used",)


def test_a_million_points_are_refused_at_once() -> None:
    begun = time.process_time()
    problem = refused(HEAD.encode() + b'<trkpt lat="1" lon="1"/>' * 1_000_000)
    assert time.process_time() - begun < 1.0
    assert "more than 12 MB" in problem.what


@pytest.mark.parametrize(
    "piece", [b"<a/>", b"<trkseg/>", b'<trkseg><trkpt lat="1" lon="1"/></trkseg>', b"<!-- -->", b"&#65;"]
)
def test_the_largest_file_takes_no_longer_than_ten_seconds(piece: bytes) -> None:
    raw = HEAD.encode() + b"<trk>" + piece * ((MOST_BYTES - 400) // len(piece)) + b"</trk></gpx>"
    begun = time.process_time()
    refused(raw)
    assert time.process_time() - begun < 10.0


def test_thinned_as_little_as_need_be() -> None:
    """Each part keeps its ends, and what is left follows the same road."""
    points = drive(MOST_POINTS + 500, lambda t: 15.0, hill)
    points[12_000] += "\n</trkseg><trkseg>"
    route = read(points)
    assert route.way == pytest.approx((MOST_POINTS + 500) * 15.0, rel=1e-3)


# Whatever comes.


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes(raw: bytes) -> None:
    refused(raw)


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_file_with_some_of_it_changed(data: st.DataObject) -> None:
    raw = bytearray(track(steady(40)).encode())
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(raw) - 1))
        raw[at : at + data.draw(st.integers(0, 30))] = data.draw(st.binary(max_size=12))
    _reads_or_refuses(bytes(raw))


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.floats(-80, 80), st.floats(-180, 180), st.floats(-1e9, 1e9, allow_nan=False), st.floats(0, 2e5, allow_nan=False)
        ),
        min_size=1, max_size=40,
    ),
    st.floats(0.0, 0.01),
    st.booleans(),
)  # fmt: skip
def test_any_points(places: list[tuple[float, float, float, float]], shrink: float, timed: bool) -> None:
    """Points anywhere, or near each other: a trip with finite numbers, or a refusal."""
    rows = [
        f'<trkpt lat="{a * shrink:.7f}" lon="{b * shrink:.7f}"><ele>{c:.2f}</ele>'
        + (f"<time>{clock(t)}</time>" if timed else "")
        + "</trkpt>"
        for a, b, c, t in sorted(places, key=lambda each: each[3])
    ]
    _reads_or_refuses(track(rows).encode())


def _reads_or_refuses(raw: bytes) -> None:
    try:
        route = read_route(held(raw))
        trips = [trip_of(route, "x", speed=speed, round_trip=both) for speed in (20.0, None) for both in (False, True)]
    except VoltwrightError as error:
        problems, trips = error.problems, list[Trip]()
    else:
        problems = ()
    assert all(each.what and each.allowed and each.mend for each in problems)
    for made in trips:
        assert np.isfinite(made.speed).all()
        assert np.isfinite(made.grade).all()
        assert min(made.speed) >= 0
        assert made.distance > 0


def test_what_is_wrong_is_shown_where_the_build_names_it() -> None:
    """A speed that is missing is missing in the build, not in the file."""
    with pytest.raises(BuildError) as caught:
        trip_of(read_route(ROUTE), "x")
    assert not caught.value.problems[0].file
