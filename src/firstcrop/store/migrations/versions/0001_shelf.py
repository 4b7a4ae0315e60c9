"""Bottles, what is drawn from them, assays, and the shelf's settings."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

from firstcrop.store.append_only import triggers

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the shelf's tables."""
    _bottle()
    _draw()
    _assay()
    op.create_table(
        "shelf_setting",
        sa.Column("name", sa.String(40), primary_key=True),
        sa.Column("text", sa.Text, nullable=False),
    )
    for table in ("draw", "assay"):
        op.create_index(f"ix_{table}_bottle_id", table, ["bottle_id"])
        for statement in triggers(op.get_bind().dialect.name, table):
            op.execute(statement)


def _words(*names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, sa.Text, nullable=False) for name in names]


def _dates(*names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, sa.String(40), nullable=False) for name in names]


def _bottle() -> None:
    op.create_table(
        "bottle",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.String(80), nullable=False, unique=True),
        *_words("product", "substance", "strength", "lot"),
        sa.Column("size", sa.Double, nullable=False),
        sa.Column("unit", sa.String(4), nullable=False),
        sa.Column("price", sa.Double),
        sa.Column("currency", sa.String(8), nullable=False),
        *_dates("bought", "made", "opened"),
        *_words("stored_at"),
        sa.Column("temperature", sa.Double),
        *_words("hazards", "notes"),
        *_dates("added"),
        sa.Column("edition", sa.Integer, nullable=False),
    )


def _of_a_bottle(name: str, *columns: sa.Column[Any]) -> None:
    op.create_table(
        name,
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("bottle_id", sa.Integer, sa.ForeignKey("bottle.id"), nullable=False),
        sa.Column("key", sa.String(64), nullable=False, unique=True),
        *columns,
    )


def _draw() -> None:
    amount = sa.Column("amount", sa.Double, nullable=False)
    _of_a_bottle("draw", *_dates("at"), *_words("who"), amount, *_words("sheet", "notes"))


def _assay() -> None:
    _of_a_bottle(
        "assay",
        *_dates("taken_at"),
        *_words("who", "method"),
        sa.Column("value", sa.Double, nullable=False),
        sa.Column("basis", sa.String(20), nullable=False),
        sa.Column("standard_uncertainty", sa.Double, nullable=False),
        *_words("budget", "readings", "notes"),
    )
