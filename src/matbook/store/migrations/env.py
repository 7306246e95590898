"""Runs the steps on the connection and in the transaction of whoever opens the store."""

from alembic import context

from matbook.store.tables import metadata

if hasattr(context, "config"):  # not there when this file is only imported, not run by Alembic
    context.configure(
        connection=context.config.attributes["connection"],
        target_metadata=metadata,
        render_as_batch=True,
    )
    context.run_migrations()
