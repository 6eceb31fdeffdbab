"""Bringing a notebook to the present layout; each released layout is one numbered migration."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

import sqlalchemy as sa
from alembic.config import Config
from alembic.runtime.environment import EnvironmentContext
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy.engine import Connection, Engine

from zincite.errors import NotebookError
from zincite.notebook.engines import take_turn

__all__ = ["known_layouts", "migrate", "schema_version"]


@cache
def _scripts() -> ScriptDirectory:
    return ScriptDirectory(str(files("zincite.notebook") / "migrations"))


def known_layouts() -> list[str]:
    """Return the numbers of all layouts that this version knows, the first one first."""
    return [script.revision for script in _scripts().walk_revisions()][::-1]


def schema_version(engine: Engine, name: str, *, migrated: bool = False) -> str:
    """Return the layout's number, "" where there are no tables yet.

    Parameters
    ----------
    engine : Engine
    name : str
        For messages.
    migrated : bool
        Whether anything but the present layout is refused.

    Raises
    ------
    NotebookError
        If a later version of zincite made it, or it is not at the present layout.
    """
    scripts = _scripts()
    with engine.connect() as connection:
        found = MigrationContext.configure(connection).get_current_revision() or ""
    known = [script.revision for script in scripts.walk_revisions()]
    if found and found not in known:
        raise NotebookError(
            f"{name} has layout {found!r}, expected at most {scripts.get_current_head()!r}: it "
            "was written by a later version of zincite"
        )
    if migrated and found != scripts.get_current_head():
        raise NotebookError(
            f"{name} has layout {found or 'none'!r} and cannot be written, expected layout "
            f"{scripts.get_current_head()!r}: open it once where it can be written"
        )
    return found


def migrate(engine: Engine, name: str, *, to: str = "head") -> None:
    """Run the migrations that are missing, all or none of them.

    Raises
    ------
    NotebookError
        If the database holds tables of something else, or a later layout.
    """
    scripts = _scripts()
    head = (scripts.get_current_head() if to == "head" else to) or "head"
    if schema_version(engine, name) == head:
        return

    def upgrade(revision: object, context: MigrationContext) -> object:
        del context
        return scripts._upgrade_revs(head, revision)  # type: ignore[arg-type]

    with engine.connect() as plain:
        connection = plain.execution_options(zincite_write=True)
        with connection.begin():
            take_turn(connection)
            # somebody else may have done it meanwhile: then nothing is left to run
            if not MigrationContext.configure(connection).get_current_revision():
                _refuse_foreign(connection, name)
            _run(connection, scripts, upgrade)


def _run(connection: Connection, scripts: ScriptDirectory, upgrade: object) -> None:
    config = Config()
    with EnvironmentContext(config, scripts, fn=upgrade) as environment:
        environment.configure(connection=connection, target_metadata=None, render_as_batch=True)
        environment.run_migrations()


def _refuse_foreign(connection: Connection, name: str) -> None:
    others = set(sa.inspect(connection).get_table_names()) - {"alembic_version"}
    if others:
        raise NotebookError(
            f"{name} holds tables of something else ({', '.join(sorted(others)[:3])}), expected "
            "an empty database or a notebook"
        )
