"""Several who edit at once over HTTP, some of them the same build: no error but a told conflict, and no edit lost.

How long they wait is measured by `make bench` and not here.
"""

from __future__ import annotations

from pathlib import Path

from benchmarks.many_users import Day

from serving import served


def test_several_who_edit_at_once_lose_nothing(tmp_path: Path) -> None:
    with served(tmp_path / "home") as site:
        day = Day(site.address, users=5, every=0.5)
        day.work(4.0)
        assert day.errors == []
        assert day.lost() == []
        assert len(day.kept) == 40
        assert day.conflicts > 0, "two share a build, so that one must have been told of the other"
    assert not (tmp_path / "home" / "errors.log").exists()
