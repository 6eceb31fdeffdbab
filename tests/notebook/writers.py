"""Processes that write a notebook until somebody kills them; run as `python -m`.

One process imports everything and waits for orders on stdin, each a line of JSON. It forks as
many workers as are asked for; they tell on stdout, line by line, what is certain by then. When
all of them are gone, it says so.
"""

from __future__ import annotations

import contextlib
import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from zincite.errors import ConflictError, ZinciteError
from zincite.notebook.schema import event, project
from zincite.notebook.store import Notebook, open_notebook

__all__ = ["Workers"]

COUNTERS = 60
"""Projects whose notes are numbers; together they always make `SUM`."""
SUM = 1000 * COUNTERS


def tell(*words: object) -> None:
    """Write one line at once; short lines of several processes do not mix in a pipe."""
    os.write(1, (" ".join(str(word) for word in words) + "\n").encode())


def write_on(order: dict[str, Any], worker: int) -> None:
    """Write without pause; a line for each write that was acknowledged."""
    chance = random.Random(f"{order['round']} {worker}")
    with open_notebook(order["where"]) as notebook:
        for number in range(10**6):
            code = f"{order['round']}-{worker}-{number}"
            with notebook.write(f"writer {worker}") as writer:
                subject = writer.add(
                    "project", {"code": code, "name": "Fluid", "note": "n" * chance.randrange(9000)}
                )
                row = {"noun": "project", "subject": subject, "name": "a", "media_type": "x"}
                if chance.random() < 0.3:
                    kept = writer.blob(chance.randbytes(chance.randrange(60_000)))
                    writer.add("attachment", {**row, "sha256": kept})
                if chance.random() < 0.3:
                    writer.change("project", subject, {"name": "Cream"}, revision=1, words=code)
            tell("ack", code)


def carry(order: dict[str, Any], worker: int) -> None:
    """Carry from one counter to another for a while, in several threads."""

    def one(thread: int) -> None:
        chance = random.Random(f"{worker} {thread}")
        done = conflicts = 0
        while time.time() < order["until"]:
            first, second = chance.sample(ids, 2)
            both = project.select().where(project.c.id.in_((first, second)))
            with notebook.read() as connection:
                seen = {row.id: row for row in connection.execute(both)}
            try:
                with notebook.write(f"writer {worker}.{thread}") as writer:
                    for subject, change in ((first, -1), (second, 1)):
                        note = str(int(seen[subject].note) + change)
                        revision = seen[subject].revision
                        writer.change("project", subject, {"note": note}, revision=revision)
                done += 1
            except ConflictError:
                conflicts += 1
        tell("carried", worker, thread, done, conflicts)

    with open_notebook(order["where"]) as notebook:
        with notebook.read() as connection:
            ids = sorted(connection.execute(sa.select(project.c.id)).scalars())
        _threads(one, order["threads"])


def look(order: dict[str, Any], worker: int) -> None:
    """Look whether each reading sees one state, in several threads."""

    def state(connection: sa.Connection) -> tuple[object, ...]:
        rows = connection.execute(project.select()).all()
        last = connection.execute(event.select().order_by(event.c.seq.desc()).limit(2)).all()
        count = connection.execute(sa.select(sa.func.count()).select_from(event)).scalar_one()
        if sum(int(row.note) for row in rows) != SUM:
            tell("failed", "the counters make", sum(int(row.note) for row in rows))
        if sum(row.revision for row in rows) != count or last[0].seq != count:
            tell("failed", "revisions and events differ:", count)
        if last[0].prev != last[1].hash or max(row.event_seq for row in rows) != count:
            tell("failed", "the chain is open at", count)
        return (count, last[0].hash, *sorted((row.id, row.note) for row in rows))

    def one(thread: int) -> None:
        looks, heads = 0, set()
        while time.time() < order["until"]:
            with notebook.read() as connection:
                before = state(connection)
                time.sleep(0.05)
                if state(connection) != before:
                    tell("failed", "a reading saw two states")
            looks += 1
            heads.add(before[0])
            time.sleep(0.05)
        tell("looked", worker, thread, looks, len(heads))

    with open_notebook(order["where"]) as notebook:
        _threads(one, order["threads"])


def _threads(one: Callable[[int], None], count: int) -> None:
    def kept(thread: int) -> None:
        try:
            one(thread)
        except Exception as error:  # noqa: BLE001 told to the test
            tell("failed", type(error).__name__, error)

    threads = [threading.Thread(target=kept, args=(n,)) for n in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def make_counters(notebook: Notebook) -> None:
    """Make the projects that `carry` and `look` are about."""
    with notebook.write("A") as writer:
        for number in range(COUNTERS):
            writer.add("project", {"code": f"C{number}", "name": "counter", "note": "1000"})


def open_it(order: dict[str, Any], worker: int) -> None:
    """Open a notebook, which brings it to the present layout."""
    with open_notebook(order["where"]):
        tell("opened", worker)


ACTS = {"write_on": write_on, "carry": carry, "look": look, "open_it": open_it}


def _child(act: str, order: dict[str, Any], worker: int) -> None:
    code = 0
    try:
        ACTS[act](order, worker)
    except ZinciteError as error:
        tell("failed", type(error).__name__, error)
        code = 1
    except BaseException as error:  # noqa: BLE001 the child must not go on as its parent
        tell("broke", type(error).__name__, error)
        code = 1
    os._exit(code)


def _warm_up() -> None:
    """Load in advance what every worker needs, so that they begin at once."""
    import psycopg  # noqa: F401

    with (
        tempfile.TemporaryDirectory() as folder,
        open_notebook(Path(folder) / "warm", create=True) as notebook,
    ):
        make_counters(notebook)


def main() -> None:
    _warm_up()
    for line in sys.stdin:
        order = json.loads(line)
        pids = []
        for act, count in order["acts"].items():
            for worker in range(count):
                pid = os.fork()
                if pid == 0:
                    _child(act, order, worker)
                pids.append(pid)
        tell("pids", *pids)
        for pid in pids:
            os.waitpid(pid, 0)
        tell("done")


class Workers:
    """Gives orders to the process and reads what its workers tell."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.notebook.writers"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            cwd=Path(__file__).parents[2],
        )

    def order(self, where: str, acts: dict[str, int], **more: object) -> list[int]:
        """Start workers; return their process ids."""
        assert self._process.stdin is not None
        self._process.stdin.write(
            (json.dumps({"where": where, "acts": acts, **more}) + "\n").encode()
        )
        self._process.stdin.flush()
        self._early: list[list[str]] = []
        while True:
            words = self._line()
            if words[0] == "pids":
                return [int(pid) for pid in words[1:]]
            self._early.append(words)

    def wait_for(self, word: str) -> None:
        """Wait until a worker tells a line that begins so."""
        while not self._early or self._early[-1][0] != word:
            self._early.append(self._line())

    def told(self) -> list[list[str]]:
        """Wait until all workers are gone; return the words of each line they told."""
        lines = self._early
        while (words := self._line())[0] != "done":
            lines.append(words)
        return lines

    def _line(self) -> list[str]:
        assert self._process.stdout is not None
        line = self._process.stdout.readline().decode()
        if not line:
            raise RuntimeError("the workers' process ended")
        return line.rstrip("\n").split(" ")

    def stop(self) -> None:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.close()
        self._process.stdout.close()
        self._process.kill()
        self._process.wait()


def kill(pids: list[int], chance: random.Random) -> None:
    """Kill processes, with a short random pause between them."""
    chance.shuffle(pids)
    for pid in pids:
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
        time.sleep(chance.choice([0.0, 0.0, 0.004]) * chance.random())


@contextlib.contextmanager
def workers() -> Iterator[Workers]:
    made = Workers()
    try:
        yield made
    finally:
        made.stop()


if __name__ == "__main__":
    main()
