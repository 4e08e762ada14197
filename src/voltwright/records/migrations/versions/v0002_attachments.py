"""Files of a car: photographs, weighbridge tickets, speed traces."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.create_table(
        "files",
        sa.Column("sha256", sa.String(64), primary_key=True),
        sa.Column("content", sa.LargeBinary, nullable=False),
    )
    op.create_table(
        "attachments",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("car", sa.Integer, sa.ForeignKey("cars.id"), nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("size", sa.Integer, nullable=False),
        sa.Column("sha256", sa.String(64), sa.ForeignKey("files.sha256"), nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True).with_variant(sa.String(27), "sqlite"), nullable=False),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_attachments_car", "attachments", ["car"])
