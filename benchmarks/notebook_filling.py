"""A big invented notebook, written in bulk: the same rows and the same chain as one by one.

All names and numbers are invented and made by a seeded generator.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import sqlalchemy as sa

import zincite.data
from zincite.formula.reading import load_formula
from zincite.formula.writing import formula_text
from zincite.notebook.chain import body_text, event_hash
from zincite.notebook.schema import NOUNS, event, metadata, search_text
from zincite.notebook.store import Notebook
from zincite.notebook.words import indexed
from zincite.notebook.writer import Rows, Writer

DEMO = Path(zincite.data.__file__).parent / "demo" / "fluid.toml"
WHO = "B. Example"
RESULTS_A_TRIAL = 10
VERSIONS = 5
FLUSH = 20_000
QUICK = ("PRAGMA synchronous=OFF", "PRAGMA cache_size=-500000")
"""A bulk fill need not survive a power cut, and random hashes want their index in memory."""
TESTS = (
    ("spf-in-vivo", "spf", "ISO 24444:2019", 30.0, ""),
    ("spf-in-vitro", "spf", "ISO 24443:2021", 28.0, ""),
    ("uva-in-vitro", "uva_pf", "ISO 24443:2021", 11.0, ""),
    ("critical-wavelength", "critical_wavelength_nm", "ISO 24443:2021", 374.0, "nm"),
    ("flow", "viscosity_mPas", "rotational rheometer", 12000.0, "mPa s"),
    ("colour", "white_cast_delta_e00", "spectrophotometer", 4.0, ""),
    ("size", "d50_nm", "laser diffraction", 240.0, "nm"),
    ("density", "density_g_ml", "pycnometer", 1.1, "g/mL"),
    ("ph", "ph", "electrode", 7.0, ""),
    ("droplets", "d50_um", "microscope", 3.0, "um"),
)
NOTES = (
    "smooth", "grainy", "separates after a week", "white on dark skin", "dries fast", "sticky",
    "good gloss", "second pass of the mill", "cooled too fast", "lumps in the mill base",
)  # fmt: skip


class BulkWriter(Writer):
    """A writer that collects rows and hands them to the database in large batches."""

    def __init__(self, connection: sa.engine.Connection, who: str) -> None:
        super().__init__(connection, who)
        self._waiting: dict[str, list[dict[str, Any]]] = defaultdict(list)
        self._events = 0
        self._chance = random.Random(2)

    def add(
        self,
        noun: str,
        row: Mapping[str, Any],
        parts: Mapping[str, Rows] | None = None,
        *,
        words: str = "",
        id: str | None = None,
        also: Mapping[str, Any] | None = None,
    ) -> str:
        """Add a thing as `Writer.add` does, but without its checks: these rows are made to fit."""
        subject = id or f"{noun}-{self._chance.getrandbits(80):020x}"
        whole = {"id": subject, "revision": 1, "withdrawn": "", **row}
        numbered = {
            name: [{"position": n, **part} for n, part in enumerate(rows)]
            for name, rows in (parts or {}).items()
        }
        body = {**(also or {}), "row": whole, "parts": numbered}
        if words:
            body["words"] = words
        seq = self._append(f"{noun} added", noun, subject, body)
        self._insert(noun, seq, whole, numbered)
        self._index(noun, subject, words)
        return subject

    def _append(self, kind: str, noun: str, subject: str, body: Mapping[str, Any]) -> int:
        text, seq = body_text(body), self._seq + 1
        at = f"2026-01-01T00:00:00.{seq % 1_000_000:06d}+00:00"
        made = event_hash(self._hash, seq, at, self.who, kind, noun, subject, text)
        self._waiting["event"].append(
            {
                "seq": seq, "prev": self._hash, "hash": made, "at": at, "who": self.who,
                "kind": kind, "noun": noun, "subject": subject, "body": text,
            }
        )  # fmt: skip
        self._seq, self._hash = seq, made
        self._events += 1
        if self._events % FLUSH == 0:
            self.flush()
        return seq

    def _insert(
        self, noun: str, seq: int, row: Mapping[str, Any], parts: Mapping[str, Rows]
    ) -> None:
        self._waiting[noun].append({"event_seq": seq, **row})
        for name, rows in parts.items():
            parent = {f"{noun}_id": row["id"], "event_seq": seq}
            self._waiting[name] += [{**parent, **part} for part in rows]

    def _index(self, noun: str, subject: str, words: str) -> None:
        if words:
            self._waiting["search_text"].append(
                {"noun": noun, "subject": subject, "body": words, "folded": indexed(noun, words)}
            )

    def flush(self) -> None:
        """Write what waits, parents before children."""
        tables = [event]
        for noun in NOUNS.values():
            tables += [noun.table, *noun.parts]
        for table in (*tables, search_text):
            rows = self._waiting.pop(table.name, [])
            if rows:
                self._write(table, rows)
        self.connection.commit()

    def _write(self, table: sa.Table, rows: list[dict[str, Any]]) -> None:
        """Write rows by plain statements: a million of them feel the care taken of each."""
        names = ", ".join(rows[0])
        values = [tuple(row.values()) for row in rows]
        if self.connection.dialect.name == "sqlite":
            marks = ", ".join("?" * len(rows[0]))
            self.connection.exec_driver_sql(
                f"INSERT INTO {table.name} ({names}) VALUES ({marks})", values
            )
            return
        raw: Any = self.connection.connection.driver_connection
        with raw.cursor() as cursor, cursor.copy(f"COPY {table.name} ({names}) FROM STDIN") as copy:
            for value in values:
                copy.write_row(value)


@dataclass(frozen=True, slots=True)
class Filled:
    """What a filled notebook holds.

    Attributes
    ----------
    formulas, trials, results, events : int
    """

    formulas: int
    trials: int
    results: int
    events: int


def fill(notebook: Notebook, trials: int) -> Filled:
    """Fill an empty notebook with so many trials of `RESULTS_A_TRIAL` results each."""
    rng = random.Random(1)
    indexes = [index for table in metadata.sorted_tables for index in table.indexes]
    with notebook.engine.connect() as plain:
        connection = plain.execution_options(zincite_write=True)
        for pragma in QUICK if notebook.is_sqlite else ():
            connection.connection.execute(pragma)  # type: ignore[attr-defined]
        for index in indexes:  # made again when the rows are there, which is quicker
            index.drop(connection)
        writer = BulkWriter(connection, WHO)
        formulas = _formulas(writer, rng, max(trials // 10, VERSIONS))
        lots = _lots(writer, rng, max(trials // 50, 20))
        for number in range(trials):
            _trial(writer, rng, number, formulas[number % len(formulas)], lots)
        writer.flush()
        for index in indexes:
            index.create(connection)
        connection.commit()
        if notebook.is_sqlite:
            connection.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")  # type: ignore[attr-defined]
    # the quick settings go with the connection
    notebook.engine.dispose()
    if not notebook.is_sqlite:  # as the server itself does after a while
        with notebook.engine.connect() as plain:
            plain.execution_options(isolation_level="AUTOCOMMIT").exec_driver_sql("VACUUM ANALYZE")
    return Filled(len(formulas), trials, trials * RESULTS_A_TRIAL, writer._seq)


def _formulas(writer: Writer, rng: random.Random, count: int) -> list[tuple[str, str]]:
    """Write formula versions and return id and code of each."""
    project = writer.add("project", {"code": "BENCH", "name": "Invented bench", "note": ""})
    demo = load_formula(DEMO)
    toml, shares = formula_text(demo), demo.percent_by_material()
    found: list[tuple[str, str]] = []
    parent: str | None = None
    for n in range(count):
        code, number = f"F-{n // VERSIONS + 1}", n % VERSIONS + 1
        row = {
            "project_id": project, "code": code, "number": number,
            "parent_id": parent if number > 1 else None, "name": f"Fluid {code}",
            "reason": rng.choice(NOTES), "toml": toml,
        }  # fmt: skip
        items = [
            {
                "phase": "A", "material_key": key, "percent": share, "core": "",
                "coating": "Triethoxycaprylylsilane" if "silane" in key else "",
            }
            for key, share in shares.items()
        ]  # fmt: skip
        words = f"{code}@{number} Fluid {code} {row['reason']} {' '.join(shares)}"
        parent = writer.add("formula", row, {"formula_item": items}, words=words)
        found.append((parent, f"{code}@{number}"))
        values = [
            {"quantity": q, "median": m, "low": 0.8 * m, "high": 1.2 * m, "unit": unit}
            for _, q, _, m, unit in TESTS[:1] + TESTS[2:6]
        ]
        writer.add(
            "prediction",
            {
                "formula_id": parent, "number": 1, "model": "shipped", "software": "zincite 0",
                "made_on": "2020-01-01",
            },
            {"prediction_value": values},
        )  # fmt: skip
    return found


def _lots(writer: Writer, rng: random.Random, count: int) -> list[tuple[str, str]]:
    """Write lots and return id and material of each."""
    keys = list(load_formula(DEMO).percent_by_material())
    found = []
    for n in range(count):
        key = keys[n % len(keys)]
        row = {
            "code": f"L-{n + 1}", "material_key": key, "supplier": f"Supplier {rng.randrange(9)}",
            "received_on": "2020-01-01", "expires_on": "2030-01-01", "note": "",
        }  # fmt: skip
        values = [{"quantity": "loss_on_drying", "value": 0.3, "unit": "%", "text": ""}]
        words = f"L-{n + 1} {key} {row['supplier']}"
        found.append((writer.add("lot", row, {"lot_value": values}, words=words), key))
    return found


def _day(number: int) -> str:
    """Return a day that rises with the number over about ten years."""
    year, rest = divmod(number // 30 % 3600, 360)
    return f"{2015 + year}-{rest // 30 + 1:02d}-{rest % 30 % 28 + 1:02d}"


def _trial(
    writer: Writer,
    rng: random.Random,
    number: int,
    formula: tuple[str, str],
    lots: list[tuple[str, str]],
) -> None:
    code, note, day = f"T-{number + 1}", rng.choice(NOTES), _day(number)
    used = rng.sample(lots, 12)
    weights = [
        {
            "phase": "A", "material_key": key, "lot_id": lot, "target_g": 50.0,
            "actual_g": round(50.0 + rng.random(), 2),
        }
        for lot, key in used
    ]  # fmt: skip
    row = {
        "code": code, "formula_id": formula[0], "made_on": day, "made_by": WHO, "batch_kg": 1.0,
        "process": "bead mill", "note": note,
    }  # fmt: skip
    words = f"{code} {formula[1]} bead mill {note}"
    trial = writer.add("trial", row, {"trial_weight": weights}, words=words)
    for n, (kind, quantity, method, middle, unit) in enumerate(TESTS, start=1):
        value = round(middle * rng.lognormvariate(0, 0.1), 3)
        measured = {
            "trial_id": trial, "number": n, "kind": kind, "measured_on": day, "method": method,
            "software": "zincite 0", "valid": 1, "file_name": f"{code}.csv", "sha256": None,
            "evaluation": f'{{"{quantity}":{value}}}',
        }  # fmt: skip
        part = {"quantity": quantity, "value": value, "low": 0.95 * value, "high": 1.05 * value,
                "unit": unit}  # fmt: skip
        writer.add("result", measured, {"result_value": [part]}, words=f"{code} {kind} {method}")
