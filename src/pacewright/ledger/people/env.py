"""What Alembic runs to bring the tables of accounts up, on the connection handed to it."""

from alembic import context

from pacewright.ledger.people.tables import PEOPLE, VERSION_TABLE

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=PEOPLE,
    version_table=VERSION_TABLE,
)
with context.begin_transaction():
    context.run_migrations()
