"""Notebooks to write in: a fresh one on SQLite, and one on a real PostgreSQL server."""

from __future__ import annotations

import itertools
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from argon2 import PasswordHasher

from tests.notebook.desk import Desk
from tests.notebook.postgres import Server, started
from tests.notebook.team import Team, made
from zincite.notebook import passwords
from zincite.notebook.store import Notebook, open_notebook
from zincite.workbench.notebook.opening import create_notebook

_NUMBERS = itertools.count(1)


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[Server]:
    with started() as server:
        yield server


@pytest.fixture(params=["sqlite", "postgres"])
def where(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Return where a fresh notebook may be made: a file name or the URL of an empty database."""
    if request.param == "sqlite":
        return str(tmp_path / "lab.zincite")
    server: Server = request.getfixturevalue("postgres_server")
    return server.create(f"lab{next(_NUMBERS)}")


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return an empty notebook in a file, to be copied: migrations take a while."""
    path = tmp_path_factory.mktemp("empty") / "empty.zincite"
    open_notebook(path, create=True).close()
    return path


@pytest.fixture(scope="session")
def empty_database(postgres_server: Server) -> str:
    """Return the name of a database with an empty notebook, to be copied."""
    name = "empty"
    open_notebook(postgres_server.create(name), create=True).close()
    return name


@pytest.fixture
def notebook(where: str, request: pytest.FixtureRequest) -> Iterator[Notebook]:
    if "://" in where:
        server: Server = request.getfixturevalue("postgres_server")
        template: str = request.getfixturevalue("empty_database")
        server.create(where.rpartition("/")[2], template=template)
    else:
        shutil.copy(request.getfixturevalue("empty_file"), where)
    with open_notebook(where) as made:
        yield made


@pytest.fixture
def quick_hashes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hash passwords with little work: the library's own parameters have tests of their own."""
    quick = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
    monkeypatch.setattr(passwords, "_HASHER", quick)


@pytest.fixture
def team(notebook: Notebook, quick_hashes: None) -> Team:
    """Give the notebook accounts: a lead, two at the bench, one who reads."""
    return made(notebook)


@pytest.fixture
def lead(where: str, tmp_path: Path, quick_hashes: None) -> Desk:
    """Make a team's notebook; its lead is logged in."""
    create_notebook(where)
    desk = Desk(where, tmp_path, "lead.example")
    desk.done(
        "notebook", "account", "add", "lead.example", "--full-name", "L. Example",
        "--role", "lead", "--password-file", desk.password,
    )  # fmt: skip
    return desk.login()


@pytest.fixture
def bench(lead: Desk, tmp_path: Path) -> Desk:
    lead.done(
        "notebook", "account", "add", "bench.example", "--full-name", "B. Example",
        "--role", "bench", "--password-file", lead.password,
    )  # fmt: skip
    return Desk(lead.where, tmp_path, "bench.example").login()
