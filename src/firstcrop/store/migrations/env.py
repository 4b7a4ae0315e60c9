"""Run by alembic: the steps go through the connection and transaction `open_store` opened."""

from __future__ import annotations

from alembic import context

context.configure(connection=context.config.attributes["connection"], transactional_ddl=True)
context.run_migrations()
