"""Large and hostile files: refused in under 5 s with bounded memory, in a process of its own."""

from __future__ import annotations

import json
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from instrument_files import absorbance, down, text, xlsx

PROGRAM = """
import json, resource, sys, time
from zincite.errors import InputError
from zincite.evaluation.assay.reading import read_spectra
import openpyxl
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
start = time.perf_counter()
try:
    read_spectra(sys.argv[1])
    message = None
except InputError as error:
    message = str(error)
seconds = time.perf_counter() - start
after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(json.dumps([message, seconds, (after - before) / 1024]))
"""


def _read(path: Path) -> tuple[str, float, float]:
    """Return message, seconds and MB of memory that reading added."""
    made = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(path)], capture_output=True, text=True, check=True
    )
    message, seconds, megabytes = json.loads(made.stdout)
    return message, seconds, megabytes


def _sparse_200_mb(folder: Path) -> Path:
    path = folder / "scan.csv"
    with path.open("wb") as stream:
        stream.write(b"nm;Abs\n290;0.5\n")
        stream.seek(200 * 2**20)
        stream.write(b"\n")
    return path


def _sparse_60_mb(folder: Path) -> Path:
    path = folder / "scan.csv"
    with path.open("wb") as stream:
        stream.seek(60 * 2**20)
        stream.write(b"\n")
    return path


def _one_line_60_mb(folder: Path) -> Path:
    path = folder / "scan.csv"
    path.write_bytes(b"290;0.5;" * (60 * 2**17))
    return path


def _many_rows_60_mb(folder: Path) -> Path:
    path = folder / "scan.csv"
    path.write_bytes(b"290;0.5\n" * (60 * 2**17))
    return path


def _one_word_60_mb(folder: Path) -> Path:
    path = folder / "scan.csv"
    path.write_bytes(b'"' + b"x" * (60 * 2**20))
    return path


def _bomb(folder: Path) -> Path:
    good = xlsx(folder, {"Scan": [["nm", "Abs"], [290.0, 0.5]]}, "good.xlsx")
    path = folder / "scan.xlsx"
    zeros = b"0" * 2**20
    with zipfile.ZipFile(good) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            if name != "xl/worksheets/sheet1.xml":
                new.writestr(name, old.read(name))
        with new.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as stream:
            for _ in range(300):
                stream.write(zeros)
    return path


def _lying_bomb(folder: Path) -> Path:
    """A bomb whose directory claims a small size, so that only reading it can tell."""
    path = _bomb(folder)
    data = bytearray(path.read_bytes())
    at = data.rfind(b"PK\x01\x02")
    data[at + 24 : at + 28] = (1000).to_bytes(4, "little")
    path.write_bytes(bytes(data))
    return path


def _many_cells(folder: Path) -> Path:
    path = folder / "scan.xlsx"
    good = xlsx(folder, {"Scan": [["nm", "Abs"], [290.0, 0.5]]}, "good.xlsx")
    row = "<row>" + "".join(f"<c><v>{i}.{i * 7919 % 9973}</v></c>" for i in range(500)) + "</row>"
    with zipfile.ZipFile(good) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            data = old.read(name)
            if name == "xl/worksheets/sheet1.xml":
                at = data.index(b"<sheetData>") + len(b"<sheetData>")
                data = data[:at] + row.encode() * 1200 + data[at:]
            new.writestr(name, data)
    return path


def _wide_rows(folder: Path) -> Path:
    """Few cells, each at the right edge of its row, so that padding them would be large."""
    path = folder / "scan.xlsx"
    good = xlsx(folder, {"Scan": [["nm", "Abs"], [290.0, 0.5]]}, "good.xlsx")
    rows = "".join(f'<row r="{i}"><c r="XFD{i}"><v>1</v></c></row>' for i in range(3, 50_000))
    with zipfile.ZipFile(good) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            data = old.read(name)
            if name == "xl/worksheets/sheet1.xml":
                data = data.replace(b"</sheetData>", rows.encode() + b"</sheetData>")
            new.writestr(name, data)
    return path


@pytest.mark.parametrize(
    ("make", "match", "megabytes"),
    [
        (_sparse_200_mb, "holds 200 MB, expected at most 64 MB", 16),
        (_sparse_60_mb, "holds zero bytes", 160),
        (_one_line_60_mb, "cells, expected at most 500000", 400),
        (_many_rows_60_mb, "lines, expected at most 300000", 200),
        (_one_word_60_mb, "no column or row of at least 5 wavelengths", 600),
        (_bomb, "would unpack to 300 MB, expected at most 128 MB", 32),
        (_lying_bomb, "truncated or damaged zip|expected at most 200 times", 64),
        (_many_cells, "more than 300000 cells", 250),
        (_wide_rows, "more than 300000 cells", 250),
    ],
    ids=lambda value: getattr(value, "__name__", None),
)
def test_large_file_is_refused_fast_within_memory(
    make: Callable[[Path], Path], match: str, megabytes: float, tmp_path: Path
) -> None:
    import re

    message, seconds, used = _read(make(tmp_path))
    assert message, "was not refused"
    assert re.search(match, message), message
    assert "\n" not in message
    assert seconds < 5
    assert used < megabytes


def test_thousands_of_rows_and_spectra_are_read(tmp_path: Path) -> None:
    many = absorbance(400)
    path = tmp_path / "scan.csv"
    path.write_text(text(down(many, [f"Abs P{i // 5 + 1}_S{i % 5 + 1}" for i in range(400)])))
    message, seconds, used = _read(path)
    assert message is None
    assert seconds < 5
    assert used < 200
