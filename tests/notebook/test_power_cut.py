"""A power cut: what was told to be on the disk is there, of the rest nothing or a beginning.

With PRAGMA synchronous=FULL the write-ahead log is on the disk before a write is acknowledged.
What the disk does with later bytes is anything: kept, lost, torn, overwritten with rubbish.
"""

from __future__ import annotations

import random
import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest
import sqlalchemy as sa

from zincite.notebook.engines import log_of
from zincite.notebook.schema import event
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.verifying import verify

EVENTS = 60
CUTS = 120
SECTOR = 512


@dataclass(frozen=True, slots=True)
class Disk:
    """A notebook as it lies on the disk, never closed.

    Attributes
    ----------
    file, log : bytes
    safe : tuple of int
        Length of the log at each acknowledgement.
    hashes : tuple of str
        Of the events, as acknowledged.
    before : int
        Events that stood in the file itself.
    """

    file: bytes
    log: bytes
    safe: tuple[int, ...]
    hashes: tuple[str, ...]
    before: int

    def acknowledged(self, length: int) -> int:
        """Return how many events were acknowledged while the log was that long at most."""
        return self.before + sum(size <= length for size in self.safe)


def write_one(notebook: Notebook, number: int, chance: random.Random) -> str:
    with notebook.write("A") as writer:
        note = "n" * chance.randrange(12_000)
        subject = writer.add("project", {"code": f"P{number}", "name": "Fluid", "note": note})
        if chance.random() < 0.3:
            writer.change("project", subject, {"note": "less"}, revision=1, words="words")
        return writer.head


@pytest.fixture(scope="module")
def disk(tmp_path_factory: pytest.TempPathFactory) -> Disk:
    path = tmp_path_factory.mktemp("disk") / "lab.zincite"
    chance = random.Random(5)
    open_notebook(path, create=True).close()
    with open_notebook(path) as notebook:
        for number in range(10):
            write_one(notebook, number, chance)
    assert not log_of(path).exists()  # closing has merged it
    with open_notebook(path) as notebook:
        with notebook.engine.connect() as connection:
            assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2  # FULL
        before, _ = notebook.head()
        sizes, heads = [], []
        while notebook.head()[0] < before + EVENTS:
            head = write_one(notebook, 100 + len(heads), chance)
            count = notebook.head()[0] - before - len(heads)
            sizes += [log_of(path).stat().st_size] * count
            heads += [head] * count
        with notebook.read() as connection:
            hashes = connection.execute(sa.select(event.c.hash).order_by(event.c.seq)).scalars()
            found = tuple(hashes)
        return Disk(path.read_bytes(), log_of(path).read_bytes(), tuple(sizes), found, before)


def open_after(folder: Path, disk: Disk, file: bytes, log: bytes, at_least: int) -> int:
    """Open what is left; return how many events there are."""
    path = folder / "after.zincite"
    for old in folder.glob("after.zincite*"):
        old.unlink()
    path.write_bytes(file)
    log_of(path).write_bytes(log)
    with open_notebook(path) as notebook:
        assert notebook.read_only == ""
        found = verify(notebook)
        assert found.faults == ()
        with notebook.read() as connection:
            hashes = connection.execute(sa.select(event.c.hash).order_by(event.c.seq)).scalars()
            assert tuple(hashes) == disk.hashes[: found.events]
        assert found.events >= at_least
        write_one(notebook, 1000, random.Random(1))  # and it goes on
    return found.events


def test_the_log_grows_with_each_acknowledgement(disk: Disk) -> None:
    assert len(set(disk.safe)) > 30
    assert list(disk.safe) == sorted(disk.safe)
    assert disk.safe[-1] == len(disk.log)


def test_a_log_that_ends_anywhere_gives_the_events_before(disk: Disk, tmp_path: Path) -> None:
    chance, seen = random.Random(6), set()
    for _ in range(CUTS):
        length = chance.randrange(len(disk.log) + 1)
        cut = disk.log[:length]
        seen.add(open_after(tmp_path, disk, disk.file, cut, disk.acknowledged(length)))
    assert len(seen) > 20  # the cuts fell between many different events


def test_rubbish_after_the_last_safe_byte_harms_nothing(disk: Disk, tmp_path: Path) -> None:
    chance = random.Random(7)
    for _ in range(CUTS):
        length = chance.choice(disk.safe)
        sectors = [disk.log[at : at + SECTOR] for at in range(length, len(disk.log), SECTOR)]
        for number in range(len(sectors)):
            kind = chance.randrange(4)
            if kind == 0:
                sectors[number] = bytes(len(sectors[number]))
            elif kind == 1:
                sectors[number] = chance.randbytes(len(sectors[number]))
            elif kind == 2:
                other = chance.randrange(len(disk.log))
                sectors[number] = disk.log[other : other + len(sectors[number])]
        left = disk.log[:length] + b"".join(sectors)
        open_after(tmp_path, disk, disk.file, left, disk.acknowledged(length))


def test_a_cut_while_the_log_is_merged_loses_nothing(disk: Disk, tmp_path: Path) -> None:
    """The log is emptied only after the file is on the disk: until then pages may be torn."""
    path = tmp_path / "merged.zincite"
    path.write_bytes(disk.file)
    log_of(path).write_bytes(disk.log)
    open_notebook(path).close()
    merged = path.read_bytes()
    assert merged != disk.file
    assert not log_of(path).exists()
    chance = random.Random(8)
    for _ in range(CUTS // 2):
        torn = bytearray(disk.file)
        length = chance.choice([len(disk.file), len(merged), chance.randrange(len(merged))])
        if length > len(torn):
            torn += bytes(length - len(torn))
        for at in range(0, min(len(torn), len(merged)), SECTOR):
            if merged[at : at + SECTOR] != disk.file[at : at + SECTOR]:
                kind = chance.randrange(3)
                new = merged[at : at + SECTOR] if kind else chance.randbytes(SECTOR)
                torn[at : at + SECTOR] = torn[at : at + SECTOR] if kind == 1 else new
        found = open_after(tmp_path, disk, bytes(torn), disk.log, len(disk.hashes))
        assert found == len(disk.hashes)


def test_a_stale_index_of_the_log_is_made_anew(disk: Disk, tmp_path: Path) -> None:
    path = tmp_path / "stale.zincite"
    path.write_bytes(disk.file)
    log_of(path).write_bytes(disk.log)
    shutil.copy(log_of(path), path.with_name("stale.zincite-shm"))  # rubbish of the right kind
    with open_notebook(path) as notebook:
        assert verify(notebook).faults == ()
        assert notebook.head()[0] == len(disk.hashes)
