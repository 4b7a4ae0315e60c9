"""Alembic migrations: one numbered file a step; the number is the revision."""
