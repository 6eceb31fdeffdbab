"""Twenty who write and twenty who read, at once: nothing is lost, nothing is seen half.

20 s a database, so that the suite stays short; ZINCITE_LONG=1 takes the full 60 s.
"""

from __future__ import annotations

import os
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor

import pytest
import sqlalchemy as sa

from tests.notebook.writers import SUM, make_counters, workers
from zincite.errors import ConflictError, NotebookError
from zincite.notebook.schema import project
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.verifying import verify

SECONDS = 60 if os.environ.get("ZINCITE_LONG") == "1" else 20
PROCESSES, THREADS = 5, 4


def test_twenty_writers_and_twenty_readers(notebook: Notebook) -> None:
    make_counters(notebook)
    before, _ = notebook.head()
    where = notebook.name
    with workers() as hands:
        until = time.time() + SECONDS
        acts = {"carry": PROCESSES, "look": PROCESSES}
        hands.order(where, acts, until=until, threads=THREADS)
        lines = hands.told()
    told = Counter(words[0] for words in lines)
    assert [words for words in lines if words[0] not in ("carried", "looked")] == []
    assert told == {"carried": PROCESSES * THREADS, "looked": PROCESSES * THREADS}
    carried = [int(words[3]) for words in lines if words[0] == "carried"]
    looks = [int(words[3]) for words in lines if words[0] == "looked"]
    heads = [int(words[4]) for words in lines if words[0] == "looked"]
    assert min(carried) > 0  # nobody waits for ever
    assert min(looks) > 0
    assert max(heads) > 3  # the readers saw the notebook grow
    with notebook.read() as connection:
        rows = connection.execute(project.select()).all()
    assert sum(int(row.note) for row in rows) == SUM
    # no update is lost: each that was acknowledged is two revisions, and nothing else is
    assert sum(row.revision - 1 for row in rows) == 2 * sum(carried)
    found = verify(notebook)
    assert found.faults == ()
    assert found.events == before + 2 * sum(carried)


def test_two_who_saw_the_same_cannot_both_change_it(notebook: Notebook) -> None:
    make_counters(notebook)
    with notebook.read() as connection:
        subject = connection.execute(sa.select(project.c.id).limit(1)).scalar_one()

    def change(name: str) -> str:
        try:
            with notebook.write(name) as writer:
                writer.change("project", subject, {"name": name}, revision=1)
        except ConflictError as error:
            return str(error)
        return ""

    with ThreadPoolExecutor(12) as pool:
        told = list(pool.map(change, [f"writer {n}" for n in range(12)]))
    assert told.count("") == 1
    winner = f"writer {told.index('')}"
    assert all(f"was changed by {winner} at" in text for text in told if text)


def test_many_open_a_new_notebook_at_once(where: str) -> None:
    def make(name: str) -> str:
        with open_notebook(where, create=True) as made, made.write(name) as writer:
            return writer.add("project", {"code": name, "name": "Fluid", "note": ""})

    with ThreadPoolExecutor(8) as pool:
        made = list(pool.map(make, [f"P{n}" for n in range(8)]))
    assert len(set(made)) == 8
    with open_notebook(where) as notebook:
        assert notebook.head()[0] == 8
        assert verify(notebook).faults == ()


def test_a_writer_that_waits_too_long_says_so(
    notebook: Notebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not notebook.is_sqlite:
        pytest.skip("a PostgreSQL server lets writers wait as long as its administrator likes")
    monkeypatch.setattr("zincite.notebook.engines.BUSY_S", 0.2)
    with (
        open_notebook(notebook.name) as other,
        notebook.write("A"),
        pytest.raises(NotebookError, match="somebody else has been writing for"),
        other.write("B"),
    ):
        pass
