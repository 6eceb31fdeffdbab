"""Property-based fuzz of the readers of results: a result or one sentence, never a traceback.

Run with `pytest tests/fuzz/fuzz_result_tables.py --hypothesis-profile=thorough` to search longer;
`tests/unit/assay/test_reading_results_fuzz.py` runs it with the suite's number of examples.
"""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from zincite.errors import InputError
from zincite.evaluation.assay.reading.contrast import read_contrast
from zincite.evaluation.assay.reading.panels import read_panel, read_water
from zincite.evaluation.assay.reading.reported import read_reported
from zincite.evaluation.assay.reading.screening import read_screening

READERS = {
    "panel": read_panel,
    "water": read_water,
    "reported": partial(read_reported, figures=("spf", "uva_pf", "critical_wavelength_nm")),
    "contrast": read_contrast,
    "screening": read_screening,
}
VALID = (
    "subject,MEDu (mJ/cm2),MEDp (mJ/cm2),ita_deg,excluded\n1,25,600,44,\n2,20,,50,ill\n",
    "subject;skin;dose;response\nA;bare;20,5;no\nA;bare;25;yes\nA;product;400;no\nA;product;500;1\n",
    "subject\tspf_static\tspf_wet\nA\t30\t21\nB\t28\t19\n",
    "subject,med_unprotected,med_static,med_wet\nA,20,600,430\n",
    "subject,spf,uva_pf,critical_wavelength_nm\n1,30,12,376\n2,31,,377\n",
    "spf_mean,spf_sd,n\n29.5,2.1,5\n",
    "card,Y over black,Y over white\n1,20,80\n2,21,81\n",
    "card,ground,L*,a*,b*\n1,black,20,0,1\n1,white,80,0,1\n",
    "grade,day,SPF in vitro\nA,1,10\nB,1,12\nA,2,11\nB,2,13\n",
    "day,A,B\n1,10,12\n2,11,13\n",
)
_WORDS = st.sampled_from(
    ("", "1", "25,5", "-3", "0", "1e999", "nan", "12 %", "yes", "no", "bare", "product", "subject",
     "skin", "dose", "response", "med_unprotected", "med_protected", "spf", "SPF mean", "sd", "n",
     "Y black", "Y white", "L*", "black", "grade", "value", "day", "mean", "\u221e", '"', "\x00",
     "excluded", "x" * 300)
)  # fmt: skip
every_reader = pytest.mark.parametrize("reader", READERS)
_EXAMPLES = settings().max_examples
fuzz = settings(
    max_examples=_EXAMPLES if _EXAMPLES > 100 else 40,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


def check(path: Path, reader: str) -> None:
    """Fail unless the reader returns a result or one sentence that names the file."""
    try:
        result = READERS[reader](path)
    except InputError as error:
        message = str(error)
        assert message.isprintable(), ascii(message)
        assert path.name in message
        assert len(message) < 500
    else:
        assert result.understood


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("fuzz")


@every_reader
@fuzz
@given(
    rows=st.lists(st.lists(_WORDS, max_size=6), max_size=12),
    delimiter=st.sampled_from(["\t", ";", ","]),
)
def test_random_result_tables(
    reader: str, folder: Path, rows: list[list[str]], delimiter: str
) -> None:
    path = folder / "table.csv"
    path.write_text("\n".join(delimiter.join(row) for row in rows), encoding="utf-8")
    check(path, reader)


@every_reader
@fuzz
@given(
    base=st.sampled_from(VALID),
    edits=st.lists(st.tuples(st.integers(0, 10**6), st.integers(0, 8), _WORDS), max_size=6),
)
def test_mutated_result_tables(
    reader: str, folder: Path, base: str, edits: list[tuple[int, int, str]]
) -> None:
    text = base
    for at, cut, word in edits:
        at %= len(text) + 1
        text = text[:at] + word + text[at + cut :]
    path = folder / "mutated.csv"
    path.write_text(text, encoding="utf-8")
    check(path, reader)
