"""The notebook's tables. Entries and photos are never changed: triggers refuse it."""

from __future__ import annotations

from sqlalchemy import (
    Column,
    Double,
    ForeignKey,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

METADATA = MetaData()

RUN = Table(
    "run",
    METADATA,
    Column("id", String(64), primary_key=True),
    Column("title", Text, nullable=False),
    Column("sheet_name", Text, nullable=False),
    Column("sheet", Text, nullable=False),
    Column("forecast", Text, nullable=False),
    Column("begun", String(128), nullable=False),
    Column("who", Text, nullable=False),
    Column("entries", Integer, nullable=False),
    Column("head", String(128), nullable=False),
)

ENTRY = Table(
    "entry",
    METADATA,
    Column("run_id", String(64), ForeignKey("run.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("key", String(128), nullable=False),
    Column("kind", String(128), nullable=False),
    Column("at", String(128), nullable=False),
    Column("who", Text, nullable=False),
    Column("step", Integer, nullable=False),
    Column("value", Double),
    Column("unit", Text, nullable=False),
    Column("text", Text, nullable=False),
    Column("corrects", Integer, nullable=False),
    Column("reason", Text, nullable=False),
    Column("photo", String(128), nullable=False),
    Column("received", String(128), nullable=False),
    Column("previous", String(128), nullable=False),
    Column("digest", String(128), nullable=False),
    UniqueConstraint("run_id", "key"),
)

PHOTO = Table(
    "photo",
    METADATA,
    Column("digest", String(64), primary_key=True),
    Column("media_type", String(40), nullable=False),
    Column("content", LargeBinary, nullable=False),
)
