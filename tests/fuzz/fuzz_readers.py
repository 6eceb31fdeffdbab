"""Property-based fuzz of every reader: any bytes give a result or one sentence, never a traceback.

Run with `pytest tests/fuzz/fuzz_readers.py --hypothesis-profile=thorough` for a night's search;
`tests/unit/assay/test_reading_fuzz.py` runs the same properties with a modest count.
"""

from __future__ import annotations

import io
import random
import zipfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from zincite.errors import InputError
from zincite.evaluation.assay.reading import (
    read_colour,
    read_flow_curve,
    read_grid,
    read_med_table,
    read_size_distribution,
    read_spectra,
)

READERS = {
    "grid": read_grid,
    "spectra": read_spectra,
    "med": read_med_table,
    "size": read_size_distribution,
    "colour": read_colour,
    "flow": read_flow_curve,
}
_SPECTRA = "Plate 1;;\nnm;spot 1 Abs;spot 2 Abs\n" + "".join(
    f"{w};{1.5 - 0.008 * (w - 290):.4f};{1.4 - 0.007 * (w - 290):.4f}\n" for w in range(290, 401)
)
_ROWS = "Absorbance\n\t" + "\t".join(str(w) for w in range(290, 401, 5)) + "\n" + "P1_S1\t"
_ROWS += "\t".join(f"{1.5 - 0.008 * (w - 290):.4f}" for w in range(290, 401, 5)) + "\n"
VALID = (
    _SPECTRA,
    _SPECTRA.replace(".", ","),
    _ROWS,
    "Volunteer,MEDu (mJ/cm2),MEDp (mJ/cm2)\n1,30.5,900\n2,25,800.5\n3,28,850\n",
    "Size (um);Volume (%)\n0,05;5\n0,1;20\n0,2;50\n0,4;20\n0,8;5\n",
    "Diameter [nm]\tCum. number %\n50\t10\n100\t50\n200\t90\n400\t100\n",
    "D65/10\u00b0\nsubject,site,condition,L*,a*,b*\n1,A,bare,60,10,15\n1,A,film,65,9,14\n",
    "Temperature: 25 C\nShear rate\tViscosity\n1/s\tPa\u00b7s\n1\t20\n10\t5\n100\t1.2\n",
)
_WORDS = st.sampled_from(
    (
        "", "290", "291", "292,5", "400", "0.5", "1,234", "1.234,5", "OVER", "> 3.5", "###", "nan",
        "inf", "-", "1e999", "12 %", "%T", "Abs", "nm", "Plate 1", "spot 2", "Wavelength", "L*",
        "a*", "b*", "subject", "MEDu", "MEDp", "Size (nm)", "Volume %", "shear rate 1/s",
        "viscosity Pa s", "cum number %", "before", "\u221e", "\u00b5m", '"', '"x', "=1+1", "\x00",
        "-0", "1_000", "\u0661\u0662", "9" * 50, "mean", "true",
    )
)  # fmt: skip


def workbook(rows: list[list[Any]]) -> bytes:
    """Return a workbook of one sheet."""
    book = Workbook()
    for row in rows:
        book.active.append(row)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


VALID_WORKBOOK = workbook(
    [["nm", "Abs P1_S1"], *([float(w), 1.5 - 0.008 * (w - 290)] for w in range(290, 401))]
)


def check(path: Path, reader: str) -> None:
    """Fail unless the reader returns a result or one sentence that names the file."""
    try:
        result = READERS[reader](path)
    except InputError as error:
        message = str(error)
        assert "\n" not in message
        assert message.isprintable(), ascii(message)
        assert path.name in message
        assert len(message) < 500
    else:
        assert result is not None


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("fuzz")


every_reader = pytest.mark.parametrize("reader", READERS)
# the ordinary profile asks for 100; 42 properties times 40 keep the suite short
_EXAMPLES = settings().max_examples
fuzz = settings(
    max_examples=_EXAMPLES if _EXAMPLES > 100 else 40,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


@every_reader
@fuzz
@given(content=st.binary(max_size=400), head=st.sampled_from([b"", b"PK\x03\x04", b"\xff\xfe"]))
def test_random_bytes(reader: str, folder: Path, content: bytes, head: bytes) -> None:
    path = folder / "bytes.csv"
    path.write_bytes(head + content)
    check(path, reader)


@every_reader
@fuzz
@given(text=st.text(max_size=300), codec=st.sampled_from(["utf-8", "utf-16", "utf-8-sig"]))
def test_random_text(reader: str, folder: Path, text: str, codec: str) -> None:
    path = folder / "text.csv"
    path.write_bytes(text.encode(codec, "replace"))
    check(path, reader)


@every_reader
@fuzz
@given(
    rows=st.lists(st.lists(_WORDS, max_size=8), max_size=25),
    delimiter=st.sampled_from(["\t", ";", ",", " "]),
)
def test_random_tables(reader: str, folder: Path, rows: list[list[str]], delimiter: str) -> None:
    path = folder / "table.csv"
    path.write_text("\n".join(delimiter.join(row) for row in rows), encoding="utf-8")
    check(path, reader)


@every_reader
@fuzz
@given(
    base=st.sampled_from(VALID),
    edits=st.lists(st.tuples(st.integers(0, 10**6), st.integers(0, 8), _WORDS), max_size=12),
    end=st.integers(0, 10**4),
)
def test_mutated_text(
    reader: str, folder: Path, base: str, edits: list[tuple[int, int, str]], end: int
) -> None:
    text = base
    for at, cut, word in edits:
        at %= len(text) + 1
        text = text[:at] + word + text[at + cut :]
    path = folder / "mutated.csv"
    path.write_text(text[: max(1, len(text) - end % (len(text) + 1))], encoding="utf-8")
    check(path, reader)


@every_reader
@fuzz
@given(seed=st.integers(0, 2**32), flips=st.integers(1, 20), cut=st.integers(0, 50))
def test_mutated_zip(reader: str, folder: Path, seed: int, flips: int, cut: int) -> None:
    chance = random.Random(seed)
    content = bytearray(VALID_WORKBOOK)
    for _ in range(flips):
        content[chance.randrange(len(content))] = chance.randrange(256)
    path = folder / "flipped.xlsx"
    path.write_bytes(bytes(content[: len(content) - cut]))
    check(path, reader)


@every_reader
@fuzz
@given(seed=st.integers(0, 2**32), flips=st.integers(1, 12))
def test_mutated_xml(reader: str, folder: Path, seed: int, flips: int) -> None:
    """Broken XML inside a zip whose checksums are right reaches the XML parsers."""
    chance = random.Random(seed)
    path = folder / "xml.xlsx"
    with (
        zipfile.ZipFile(io.BytesIO(VALID_WORKBOOK)) as old,
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        victim = chance.choice(old.namelist())
        for name in old.namelist():
            data = bytearray(old.read(name))
            for _ in range(flips if name == victim else 0):
                at = chance.randrange(len(data))
                piece = chance.choice([b"<", b">", b'"', b"&", b"0", b"9", b"-1", b"r", b"\xff"])
                data[at : at + chance.randrange(3)] = piece
            new.writestr(name, bytes(data))
    check(path, reader)


@every_reader
@fuzz
@given(
    rows=st.lists(
        st.lists(
            st.one_of(_WORDS, st.floats(allow_nan=False, allow_infinity=False), st.none(),
                      st.integers(280, 410), st.booleans()),
            max_size=8,
        ),
        max_size=12,
    )
)  # fmt: skip
def test_random_workbooks(reader: str, folder: Path, rows: list[list[Any]]) -> None:
    assume(not any(isinstance(cell, str) and "\x00" in cell for row in rows for cell in row))
    path = folder / "random.xlsx"
    path.write_bytes(workbook(rows))
    check(path, reader)
