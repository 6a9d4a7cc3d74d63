"""Making and upgrading the schema. Alembic is imported here, inside: an ordinary start never needs it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy.engine import Connection

from fleetlife.store.engine import REVISIONS, Store, schema_revision
from fleetlife.terms.refusal import Refusal

if TYPE_CHECKING:
    from alembic.config import Config


def migrations_folder() -> Path:
    """Where the revisions are: beside the package in a checkout, else inside the installed package.

    A checkout comes first: an editable installation leaves a copy behind that goes stale.
    """
    package = Path(__file__).parent.parent
    for folder in (package.parent / "alembic", package / "_migrations"):
        if (folder / "env.py").is_file() and (folder / "versions").is_dir():
            return folder
    raise AssertionError("the revisions of the schema are not part of this installation")


def configuration(connection: Connection) -> Config:
    """Alembic's settings, with the connection handed over as it is."""
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(migrations_folder()).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config


def make_or_upgrade(store: Store) -> str | None:
    """Bring the schema to the newest revision, entirely or not at all; what it was before comes back (None: nothing).

    Refusals: `schema-newer`, `database-not-empty`.
    """
    from alembic import command

    with store.engine.connect() as connection:
        before = schema_revision(connection)
        if before == REVISIONS[-1]:
            return before
        if before is not None and before not in REVISIONS:
            raise Refusal(
                "schema-newer",
                f"The database has schema {before}, which this program does not know.",
                remedy="It was written by a newer fleetlife: install that one.",
            )
        connection.rollback()
        writing = connection.execution_options(fleetlife_writes=True)
        with writing.begin():
            if before is None:
                _refuse_foreign_tables(writing)
            command.upgrade(configuration(writing), "head")
    return before


def _refuse_foreign_tables(connection: Connection) -> None:
    """A database in which somebody else keeps tables is not ours to fill."""
    from sqlalchemy import inspect

    if names := set(inspect(connection).get_table_names()) - {"alembic_version"}:
        raise Refusal(
            "database-not-empty",
            f"The database holds other tables already ({min(names)} and {len(names) - 1} more).",
            remedy="Name an empty database, or a file that does not exist yet, with --database.",
        )
