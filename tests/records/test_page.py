"""The page on the records names every table, column and guard."""

import re
from pathlib import Path

from voltwright.records.schema import KEPT_FOR_EVER, metadata

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "records.md").read_text(encoding="utf-8")
ROWS = {
    name: (kept == "yes", columns)
    for name, kept, columns in re.findall(r"^\| `(\w+)` \| (yes)? ?\| (.+) \|$", PAGE, re.M)
}


def test_the_page_has_the_tables_that_are() -> None:
    assert ROWS.keys() == {*metadata.tables, "alembic_version"}


def test_the_page_has_their_columns() -> None:
    for name, table in metadata.tables.items():
        assert re.findall(r"`(\w+)`", ROWS[name][1]) == [column.name for column in table.c], name


def test_the_page_marks_what_is_kept_for_ever() -> None:
    assert {name for name, (kept, _) in ROWS.items() if kept} == {table.name for table in KEPT_FOR_EVER}
