"""A notebook of 100,000 trials with a million results: searching, where used, opening, verifying.

The notebook is invented and filled in bulk, with the same chain as one by one. Each question is
asked with several words or keys, several times; the median and the worst are shown. Two references
of the same run tell a slower machine from a slower program: lookups by primary key, and a search
of all texts by LIKE, both with plain sqlite3. With a URL of an empty PostgreSQL database in
ZINCITE_BENCH_POSTGRES the same is measured there.
"""

from __future__ import annotations

import os
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from sqlalchemy.engine import Connection

from notebook_filling import fill
from zincite.notebook.formulas import open_formula
from zincite.notebook.questions.where_used import where_lot_used, where_material_used
from zincite.notebook.searching import search
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.verifying import verify

TRIALS = 100_000
WORDS = (
    "F-12", "t77", "bead mill", "second pass", "iso", "zinc-oxide sil", "separates week",
    '"lumps in the mill base"', '"mill bead"', "microsc", "T-199 spf", "trial-zinc-oxide-70-silane",
)  # fmt: skip
Row = tuple[str, str, str]


def spent(action: Callable[[], object]) -> float:
    """Return the wall-clock time of an action. [s]"""
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def asked(
    notebook: Notebook, question: Callable[[Connection, str], object], keys: Sequence[str]
) -> list[float]:
    """Return the times of a question with each key, three times after a first. [s]"""

    def once(key: str) -> None:
        with notebook.read() as connection:
            question(connection, key)

    times = []
    for key in keys:
        once(key)
        times += [spent(lambda key=key: once(key)) for _ in range(3)]  # type: ignore[misc]
    return times


def references(path: Path) -> tuple[float, float]:
    """Return the times of 1,000 lookups by primary key and of a LIKE over all texts. [s]"""
    plain = sqlite3.connect(path)
    ids = [row[0] for row in plain.execute("SELECT id FROM result LIMIT 1000")]

    def look_up() -> None:
        for id in ids:
            plain.execute("SELECT * FROM result WHERE id = ?", (id,)).fetchone()

    def scan() -> None:
        plain.execute("SELECT count(*) FROM search_text WHERE body LIKE '%bead mill%'").fetchone()

    look_up()
    lookups = min(spent(look_up) for _ in range(5))
    scanned = min(spent(scan) for _ in range(2))
    plain.close()
    return lookups, scanned


def shown(times: Sequence[float], reference: float, name: str) -> str:
    """Return median, worst and the median as a multiple or a part of a reference."""
    middle = statistics.median(times)
    ratio = middle / reference
    part = f"{ratio:.1f} x" if ratio >= 1 else f"1/{1 / ratio:.0f} of"
    return f"{1e3 * middle:.1f} ms, worst {1e3 * max(times):.0f} ms, {part} {name}"


def questions(notebook: Notebook, trials: int, reference: tuple[float, float]) -> list[Row]:
    """Return the rows of all questions."""
    where = _place(notebook)
    codes = [f"F-{1 + n * max(trials // 50, 1) // 12}" for n in range(12)]
    lots = [f"L-{1 + n * max(trials // 50, 20) // 12}" for n in range(12)]
    keys = ["water", "trial-zinc-oxide-70-silane", "magnesium-sulfate"]
    lookups, scanned = reference
    return [
        (
            f"{where}: search, {len(WORDS)} texts",
            shown(asked(notebook, search, WORDS), scanned, "the LIKE"),
            "< 100 ms",
        ),
        (
            f"{where}: where a lot is used, {len(lots)} lots",
            shown(asked(notebook, where_lot_used, lots), lookups, "the lookups"),
            "< 100 ms",
        ),
        (
            f"{where}: where a material of nearly half the trials is used, {len(keys)} materials",
            shown(asked(notebook, where_material_used, keys), lookups, "the lookups"),
            "< 100 ms",
        ),
        (
            f"{where}: opening a formula, {len(codes)} formulas",
            shown(asked(notebook, open_formula, codes), lookups, "the lookups"),
            "< 50 ms",
        ),
    ]


def _place(notebook: Notebook) -> str:
    return "SQLite" if notebook.is_sqlite else "PostgreSQL"


def filled(notebook: Notebook, trials: int) -> Row:
    """Fill an empty notebook and return the row that says how fast."""
    start = time.perf_counter()
    made = fill(notebook, trials)
    speed = made.events / (time.perf_counter() - start)
    what = f"{made.trials:,} trials, {made.results:,} results, {made.events:,} events"
    return f"{_place(notebook)}: filled in bulk, {what}", f"{speed:,.0f} events/s", ""


def verified(notebook: Notebook) -> Row:
    """Verify a notebook and return the row that says how fast."""
    start = time.perf_counter()
    found = verify(notebook)
    speed = found.events / (time.perf_counter() - start)
    if not found.holds:
        raise SystemExit(f"{_place(notebook)}: {found.faults[0].sentence}")
    return f"{_place(notebook)}: verify", f"{speed:,.0f} events/s", ""


def main(smoke: bool) -> list[Row]:
    """Return name, value and requirement of each measurement."""
    trials = 200 if smoke else TRIALS
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bench.zincite"
        with open_notebook(path, create=True) as notebook:
            rows = [filled(notebook, trials)]
            reference = references(path)
            rows += [
                ("1,000 lookups by primary key, the reference", f"{1e3 * reference[0]:.1f} ms", ""),
                ("LIKE over all texts, the reference", f"{1e3 * reference[1]:.0f} ms", ""),
                *questions(notebook, trials, reference),
                verified(notebook),
            ]
        url = os.environ.get("ZINCITE_BENCH_POSTGRES", "")
        if url:
            with open_notebook(url, create=True) as notebook:
                rows.append(filled(notebook, trials))
                rows += [*questions(notebook, trials, reference), verified(notebook)]
    return rows


if __name__ == "__main__":
    for row in main("--smoke" in sys.argv):
        print(*row, sep=" | ")
