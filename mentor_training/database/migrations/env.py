"""How a migration is run: on a connection handed in, foreign keys off while tables are rebuilt."""

from __future__ import annotations

from alembic import context

from mentor_training.database.base import Base

config = context.config
connection = config.attributes["connection"]
context.configure(
    connection=connection,
    target_metadata=Base.metadata,
    render_as_batch=connection.dialect.name == "sqlite",
    compare_type=False,
)
with context.begin_transaction():
    context.run_migrations()
