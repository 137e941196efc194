"""The tables of a database made, or brought up to what this Pacewright writes."""

from pathlib import Path

from sqlalchemy import Connection, inspect, text

from pacewright.ledger.database import Database
from pacewright.ledger.errors import RecordError, plainly
from pacewright.ledger.tables import EVENTS, VERSION_TABLE, VERSIONS


def bring_up(database: Database, *, create: bool, as_it_is: bool = False) -> None:
    """See to it that the database holds a record of the present version.

    Parameters
    ----------
    create : True makes an empty record where there is none.
    as_it_is : True lets a record of an earlier version be read, to be copied.

    Raises
    ------
    RecordError : there is no record; it is of a newer Pacewright; it is none of ours; it is older
        and may only be read.
    """
    if database.path and (database.read_only or not create) and not database.path.is_file():
        raise _none(database)
    with plainly(database.name, ""), database.reading() as link:
        version = _version(link, database)
    if version == VERSIONS[-1]:
        return
    if version is None and (database.read_only or not create):
        raise _none(database)
    if database.read_only and as_it_is:
        return
    if database.read_only:
        raise RecordError(
            f"{database.name}: its tables are of version {version}, this Pacewright reads "
            f"{VERSIONS[-1]}. Open it once for writing, so that it is brought up."
        )
    with plainly(database.name, ""), database.writing() as link:
        if _version(link, database) != VERSIONS[-1]:
            upgrade(link)
            link.commit()


def version_of(link: Connection) -> str | None:
    """Version of the tables; None: there are none."""
    if not inspect(link).has_table(VERSION_TABLE):
        return None
    return link.execute(text(f"SELECT version_num FROM {VERSION_TABLE}")).scalar()


def _version(link: Connection, database: Database) -> str | None:
    version = version_of(link)
    if version is None and inspect(link).has_table(EVENTS.name):
        raise RecordError(
            f"{database.name}: it holds a table '{EVENTS.name}' that is no record of Pacewright. "
            "A record has its database to itself. Give another path or database."
        )
    if version is not None and version not in VERSIONS:
        raise RecordError(
            f"{database.name}: its tables are of version {version}, this Pacewright knows up to "
            f"{VERSIONS[-1]}. A newer record is not touched. Use the newer Pacewright."
        )
    return version


def _none(database: Database) -> RecordError:
    return RecordError(
        f"{database.name}: there is no record. A record begins with the first event kept in it. "
        "Check the path, or book the first event."
    )


def upgrade(link: Connection) -> None:
    """Make the tables, or bring them up, within the transaction of ``link``."""
    # The migration library is slow to load and needed once in the life of a record.
    from alembic import command  # noqa: PLC0415
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    config.attributes["connection"] = link
    command.upgrade(config, "head")
