"""The shelf's tables. Draws and assays are never changed: triggers refuse it."""

from __future__ import annotations

from sqlalchemy import Column, Double, ForeignKey, Integer, MetaData, String, Table, Text

METADATA = MetaData()

BOTTLE = Table(
    "bottle",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("name", String(80), nullable=False, unique=True),  # folded, as sheets name it
    Column("product", Text, nullable=False),  # as sold: "battery acid"
    Column("substance", Text, nullable=False),  # key in the bank
    Column("strength", Text, nullable=False),  # label claim as a sheet writes it, or empty
    Column("lot", Text, nullable=False),
    Column("size", Double, nullable=False),  # kg or m3
    Column("unit", String(4), nullable=False),  # "kg" or "m3"
    Column("price", Double),  # of the whole bottle
    Column("currency", String(8), nullable=False),
    Column("bought", String(40), nullable=False),  # dates: ISO 8601, empty when not known
    Column("made", String(40), nullable=False),
    Column("opened", String(40), nullable=False),
    Column("stored_at", Text, nullable=False),  # the place
    Column("temperature", Double),  # K, of that place
    Column("hazards", Text, nullable=False),  # H codes with blanks between
    Column("notes", Text, nullable=False),
    Column("added", String(40), nullable=False),
    Column("edition", Integer, nullable=False),  # counts edits, so that none is lost
)

DRAW = Table(
    "draw",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("bottle_id", Integer, ForeignKey("bottle.id"), nullable=False, index=True),
    Column("key", String(64), nullable=False, unique=True),  # the same draw sent twice counts once
    Column("at", String(40), nullable=False),
    Column("who", Text, nullable=False),
    Column("amount", Double, nullable=False),  # in the bottle's unit; negative: put back
    Column("sheet", Text, nullable=False),  # what it was for
    Column("notes", Text, nullable=False),
)

ASSAY = Table(
    "assay",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("bottle_id", Integer, ForeignKey("bottle.id"), nullable=False, index=True),
    Column("key", String(64), nullable=False, unique=True),
    Column("taken_at", String(40), nullable=False),  # ISO 8601
    Column("who", Text, nullable=False),
    Column("method", Text, nullable=False),
    Column("value", Double, nullable=False),  # SI of the basis
    Column("basis", String(20), nullable=False),  # quantity.records.Basis
    Column("standard_uncertainty", Double, nullable=False),  # same unit as the value
    Column("budget", Text, nullable=False),  # JSON
    Column("readings", Text, nullable=False),  # JSON
    Column("notes", Text, nullable=False),
)

SETTING = Table(
    "shelf_setting",
    METADATA,
    Column("name", String(40), primary_key=True),
    Column("text", Text, nullable=False),
)
