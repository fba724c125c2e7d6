"""Run by Alembic: the connection is handed over by `wellbook.store.book.migrate`."""

from alembic import context

from wellbook.store.tables import METADATA

connection = context.config.attributes["connection"]
context.configure(
    connection=connection,
    target_metadata=METADATA,
    render_as_batch=True,
    compare_type=True,
)
with context.begin_transaction():
    context.run_migrations()
