"""What Alembic runs to bring the tables of a record up, on the connection handed to it."""

from alembic import context

from pacewright.ledger.tables import METADATA, VERSION_TABLE

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    version_table=VERSION_TABLE,
)
with context.begin_transaction():
    context.run_migrations()
