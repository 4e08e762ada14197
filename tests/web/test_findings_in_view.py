"""Which findings stand on a page: every stop, and what concerns the page."""

from __future__ import annotations

from voltwright.services.views import FindingView, Severity
from voltwright.web.pages.side import MOST_IN_VIEW, in_view


def found(key: str, severity: Severity, *questions: str) -> FindingView:
    blank = dict.fromkeys(("limit", "value", "margin", "clause", "clause_seen", "remedy", "likelihood", "advice"))
    return FindingView(key, severity, key, "", remedies=(), questions=questions, paths=(), **blank)


STOP, HEAVY, FLAT, NOTE = (
    found("pack.voltage", "stop", "pack"),
    found("mass.gross", "caution", "mass"),
    found("pack.cold", "caution", "pack", "charge"),
    found("mass.tow", "note", "mass"),
)
ALL = (STOP, HEAVY, FLAT, NOTE)


def test_a_page_shows_its_own_and_every_stop() -> None:
    assert in_view(ALL, ("mass",)) == (STOP, HEAVY)
    assert in_view(ALL, ("charge",)) == (STOP, FLAT)
    assert in_view(ALL, ("cost",)) == (STOP,)


def test_a_page_without_a_question_shows_the_gravest() -> None:
    assert in_view(ALL) == (STOP, HEAVY, FLAT)


def test_no_stop_is_left_out_however_many_there_are() -> None:
    stops = tuple(found(f"pack.{number}", "stop", "pack") for number in range(MOST_IN_VIEW + 3))
    assert in_view((*stops, HEAVY), ("mass",)) == stops
    many = tuple(found(f"mass.{number}", "caution", "mass") for number in range(MOST_IN_VIEW + 3))
    assert in_view(many, ("mass",)) == many[:MOST_IN_VIEW]
