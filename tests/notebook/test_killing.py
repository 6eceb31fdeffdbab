"""Killed at any moment, a notebook keeps every write that it acknowledged."""

from __future__ import annotations

import random
import signal
import time
from pathlib import Path

import pytest
import sqlalchemy as sa

from tests.notebook.postgres import Server, started
from tests.notebook.writers import Workers, kill, workers
from zincite.notebook.chain import GENESIS, event_hash
from zincite.notebook.schema import event, project
from zincite.notebook.store import open_notebook
from zincite.notebook.verifying import verify

KILLS = 200
WRITERS = 3


class Watch:
    """Follows a notebook from kill to kill: reads only what is new."""

    def __init__(self, where: str) -> None:
        self.where, self.acknowledged = where, 0
        self._seq, self._hash, self._codes = 0, GENESIS, set[str]()

    def look(self, lines: list[list[str]], unsure: int = WRITERS) -> None:
        """Check that the notebook opens, the chain goes on and no acknowledged write is missing.

        At most `unsure` writes may be there that nobody was told of: killed between the two.
        """
        acknowledged = {words[1] for words in lines if words[0] == "ack"}
        self.acknowledged += len(acknowledged)
        with open_notebook(self.where) as notebook:
            assert notebook.read_only == ""
            with notebook.read() as connection:
                new = event.select().where(event.c.seq > self._seq).order_by(event.c.seq)
                for row in connection.execute(new):
                    assert (row.seq, row.prev) == (self._seq + 1, self._hash)
                    assert row.hash == event_hash(row.prev, row.seq, *row[3:])
                    self._seq, self._hash = row.seq, row.hash
                codes = set(connection.execute(sa.select(project.c.code)).scalars())
        assert acknowledged <= codes
        assert self._codes <= codes
        assert len(codes - self._codes - acknowledged) <= unsure
        self._codes = codes

    def finish(self) -> None:
        with open_notebook(self.where) as notebook:
            found = verify(notebook)
        assert found.faults == ()
        assert found.events == self._seq
        assert self.acknowledged > KILLS  # the workers did work


def one_round(hands: Workers, watch: Watch, number: int, chance: random.Random) -> None:
    pids = hands.order(watch.where, {"write_on": WRITERS}, round=number)
    if number % 5:  # one in five is killed while it opens the notebook
        hands.wait_for("ack")
    time.sleep(chance.uniform(0.0, 0.08))
    kill(pids, chance)
    lines = hands.told()
    assert [words for words in lines if words[0] != "ack"] == []
    watch.look(lines)


def test_a_file_survives_200_kills(tmp_path: Path) -> None:
    path = tmp_path / "lab.zincite"
    open_notebook(path, create=True).close()
    chance, watch = random.Random(20), Watch(str(path))
    with workers() as hands:
        for number in range(KILLS):
            one_round(hands, watch, number, chance)
    watch.finish()


@pytest.fixture(scope="module")
def own_server() -> object:
    """Return a server that may be killed: nobody else uses it."""
    with started() as server:
        yield server


def test_a_database_survives_200_kills_of_its_clients(own_server: Server) -> None:
    where = own_server.create("clients")
    open_notebook(where, create=True).close()
    chance, watch = random.Random(21), Watch(where)
    with workers() as hands:
        for number in range(KILLS):
            one_round(hands, watch, number, chance)
    watch.finish()


def test_a_database_survives_kills_of_the_server(own_server: Server) -> None:
    where = own_server.create("servers")
    open_notebook(where, create=True).close()
    chance, watch = random.Random(22), Watch(where)
    with workers() as hands, open_notebook(where) as patient:
        for number in range(8):
            hands.order(where, {"write_on": WRITERS}, round=number)
            hands.wait_for("ack")
            time.sleep(chance.uniform(0.0, 0.3))
            if number % 2:
                own_server.stop(signal.SIGQUIT)
            else:
                own_server.kill()
            lines = hands.told()  # every worker ends with the sentence that the server is gone
            gone = [words for words in lines if words[0] != "ack"]
            assert all(words[:2] == ["failed", "NotebookError"] for words in gone), gone
            assert len(gone) == WRITERS
            own_server.start()
            watch.look(lines)
            with patient.write("A") as writer:  # one that stays open goes on by itself
                writer.add("project", {"code": f"patient {number}", "name": "x", "note": ""})
            watch.look([["ack", f"patient {number}"]], unsure=0)
        assert verify(patient).faults == ()
    assert watch.acknowledged > 50
