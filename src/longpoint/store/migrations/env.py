"""Runs the chain on the connection that was handed over."""

from __future__ import annotations

from alembic import context

from longpoint.store.tables import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    transactional_ddl=True,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
