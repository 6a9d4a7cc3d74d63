"""Where a revision runs: on the connection handed over in `config.attributes`, never on a URL from a file.

One transaction for the whole upgrade, so that a schema is made or upgraded entirely or not at all.
"""

from __future__ import annotations

from sqlalchemy import create_engine
from sqlalchemy.engine import Connection
from sqlalchemy.pool import NullPool

from alembic import context
from fleetlife.model import metadata


def run(connection: Connection) -> None:
    context.configure(
        connection=connection,
        target_metadata=metadata,
        compare_type=True,
        render_as_batch=False,
        transactional_ddl=True,
        transaction_per_migration=False,
    )
    with context.begin_transaction():
        context.run_migrations()


given = context.config.attributes.get("connection")
if given is not None:
    run(given)
else:
    engine = create_engine(context.config.attributes["url"], poolclass=NullPool)
    with engine.connect() as opened:
        run(opened)
        opened.commit()
