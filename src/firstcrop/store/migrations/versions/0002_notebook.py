"""Runs, their entries and photos: entries and photos are never changed, a run only grows."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from firstcrop.store.append_only import REFUSAL, triggers

revision = "0002"
down_revision = "0001"

FIXED = ("id", "title", "sheet_name", "sheet", "forecast", "begun", "who")


def upgrade() -> None:
    """Make the notebook's tables."""
    _run()
    _entry()
    op.create_table(
        "photo",
        sa.Column("digest", sa.String(64), primary_key=True),
        sa.Column("media_type", sa.String(40), nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
    )
    dialect = op.get_bind().dialect.name
    statements = [*triggers(dialect, "entry"), *triggers(dialect, "photo")]
    statements += [*triggers(dialect, "run", ("DELETE",)), _run_only_grows(dialect)]
    for statement in statements:
        op.execute(statement)


def _words(*names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, sa.Text, nullable=False) for name in names]


def _short(*names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, sa.String(128), nullable=False) for name in names]


def _numbers(*names: str) -> list[sa.Column[int]]:
    return [sa.Column(name, sa.Integer, nullable=False) for name in names]


def _run() -> None:
    op.create_table(
        "run",
        sa.Column("id", sa.String(64), primary_key=True),
        *_words("title", "sheet_name", "sheet", "forecast"),
        *_short("begun"),
        *_words("who"),
        *_numbers("entries"),
        *_short("head"),
    )


def _entry() -> None:
    op.create_table(
        "entry",
        sa.Column("run_id", sa.String(64), sa.ForeignKey("run.id"), primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        *_short("key", "kind", "at"),
        *_words("who"),
        *_numbers("step"),
        sa.Column("value", sa.Double),
        *_words("unit", "text"),
        *_numbers("corrects"),
        *_words("reason"),
        *_short("photo", "received", "previous", "digest"),
        sa.UniqueConstraint("run_id", "key"),
    )


def _run_only_grows(dialect: str) -> str:
    changed = " OR ".join(f"NEW.{name} <> OLD.{name}" for name in FIXED)
    unwanted = f"{changed} OR NEW.entries < OLD.entries"
    if dialect == "sqlite":
        return (
            f"CREATE TRIGGER run_only_grows BEFORE UPDATE ON run WHEN {unwanted} "
            f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
        )
    return (
        f"CREATE TRIGGER run_only_grows BEFORE UPDATE ON run FOR EACH ROW WHEN ({unwanted}) "
        "EXECUTE FUNCTION firstcrop_refuse()"
    )
