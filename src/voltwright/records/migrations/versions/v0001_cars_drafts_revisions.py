"""Cars, builds, the draft log, revisions, own parts, people and settings; what is kept for ever cannot be changed."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

MOMENT = sa.DateTime(timezone=True).with_variant(sa.String(27), "sqlite")
KEYS = {
    "texts": "sha256 = NEW.sha256 AND body IS NOT NEW.body",
    "draft_log": "build = NEW.build AND number = NEW.number",
    "refused_edits": "id = NEW.id",
    "revisions": "build = NEW.build AND number = NEW.number",
    "own_parts": "part = NEW.part AND number = NEW.number",
}


def upgrade() -> None:
    _people_and_settings()
    _cars_and_builds()
    _what_is_kept_for_ever()
    if op.get_bind().dialect.name == "sqlite":
        _guard_in_sqlite()
    else:
        _guard_in_postgresql()


def _who_and_when() -> tuple[sa.Column[str], sa.Column[object]]:
    return sa.Column("who", sa.Text, nullable=False), sa.Column("at", MOMENT, nullable=False)


def _people_and_settings() -> None:
    op.create_table(
        "people",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("role", sa.Text, nullable=False),
        sa.Column("password", sa.Text, nullable=False),
        sa.Column("active", sa.Boolean, nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        sa.CheckConstraint("role IN ('owner', 'technician', 'viewer')", "known_role"),
        sqlite_autoincrement=True,
    )
    op.create_index("one_person_a_name", "people", ["name"], unique=True)
    op.create_table(
        "settings", sa.Column("key", sa.Text, primary_key=True), sa.Column("value", sa.JSON, nullable=False)
    )


def _cars_and_builds() -> None:
    op.create_table(
        "cars",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("customer", sa.Text, nullable=False),
        sa.Column("away", sa.Boolean, nullable=False),
        *_who_and_when(),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "builds",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("car", sa.Integer, sa.ForeignKey("cars.id"), nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sqlite_autoincrement=True,
    )
    op.create_index("one_build_a_name", "builds", ["car", "name"], unique=True)


def _numbered() -> tuple[sa.Column[int], sa.Column[int]]:
    return (
        sa.Column("build", sa.Integer, sa.ForeignKey("builds.id"), primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    )


def _text() -> sa.Column[str]:
    return sa.Column("sha256", sa.String(64), sa.ForeignKey("texts.sha256"), nullable=False)


def _what_is_kept_for_ever() -> None:
    op.create_table(
        "texts", sa.Column("sha256", sa.String(64), primary_key=True), sa.Column("body", sa.Text, nullable=False)
    )
    op.create_table(
        "draft_log",
        *_numbered(),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("of", sa.Integer),
        sa.Column("path", sa.Text, nullable=False),
        sa.Column("before", sa.JSON),
        sa.Column("after", sa.JSON),
        _text(),
        *_who_and_when(),
        sa.CheckConstraint("kind IN ('begin', 'edit', 'undo', 'redo')", "known_kind"),
    )
    op.create_table(
        "refused_edits",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("build", sa.Integer, sa.ForeignKey("builds.id"), nullable=False),
        sa.Column("since", sa.Integer, nullable=False),
        sa.Column("met", sa.Integer, nullable=False),
        sa.Column("path", sa.Text, nullable=False),
        _text(),
        *_who_and_when(),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_refused_edits_build", "refused_edits", ["build"])
    op.create_table(
        "revisions",
        *_numbered(),
        sa.Column("draft", sa.Integer, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
        _text(),
        sa.Column("catalogue", sa.Text, nullable=False),
        sa.Column("version", sa.Text, nullable=False),
        sa.Column("headline", sa.JSON, nullable=False),
        *_who_and_when(),
    )
    op.create_table(
        "own_parts",
        sa.Column("part", sa.Text, primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("document", sa.JSON),
        *_who_and_when(),
    )


def _guard_in_sqlite() -> None:
    """REPLACE deletes a row without asking the trigger on DELETE, so a row that would take another's place is refused."""
    for table, same in KEYS.items():
        refuse = f"BEGIN SELECT RAISE(ABORT, 'voltwright keeps {table} for ever'); END"
        for what in ("UPDATE", "DELETE"):
            op.execute(f"CREATE TRIGGER {table}_no_{what.lower()} BEFORE {what} ON {table} {refuse}")
        there = f"EXISTS (SELECT 1 FROM {table} WHERE {same})"  # noqa: S608 - names of the table above
        op.execute(f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} WHEN {there} {refuse}")


def _guard_in_postgresql() -> None:
    op.execute(
        "CREATE FUNCTION kept_for_ever() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        "RAISE EXCEPTION 'voltwright keeps % for ever', TG_TABLE_NAME USING ERRCODE = 'restrict_violation'; END $$"
    )
    for table in KEYS:
        for what, each in (("UPDATE OR DELETE", "ROW"), ("TRUNCATE", "STATEMENT")):
            op.execute(
                f"CREATE TRIGGER {table}_no_{what.split()[0].lower()} BEFORE {what} ON {table} "
                f"FOR EACH {each} EXECUTE FUNCTION kept_for_ever()"
            )
