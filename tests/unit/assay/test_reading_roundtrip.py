"""Any layout an export may choose reads back the same numbers."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from instrument_files import down, number, text, turned, xlsx

from zincite.evaluation.assay.reading import (
    read_colour,
    read_flow_curve,
    read_grid,
    read_med_table,
    read_size_distribution,
    read_spectra,
)

ENCODINGS = ("utf-8", "utf-8-sig", "utf-16", "latin-1")
fuzz = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("roundtrip")


@st.composite
def layouts(draw: st.DrawFn) -> dict[str, object]:
    """Return how an instrument might print a table; a comma has one job in it."""
    decimal = draw(st.sampled_from([".", ","]))
    return {
        "decimal": decimal,
        "delimiter": draw(st.sampled_from(["\t", ";", " ", *([","] if decimal == "." else [])])),
        "encoding": draw(st.sampled_from(ENCODINGS)),
        "end": draw(st.sampled_from(["\n", "\r\n", "\r"])),
        "clutter": draw(
            st.lists(
                st.sampled_from(
                    ["Sample name: cream \u00e9", "Date;12.03.2024", "Version 1.2", "",
                     "Operator\tAB", "Scan speed: 120 nm/min", "Slit (nm): 2"]
                ),
                max_size=30,
            )
        ),
    }  # fmt: skip


def _write(folder: Path, rows: list[list[str]], layout: dict[str, object]) -> Path:
    end = str(layout["end"])
    clutter = "".join(f"{line}{end}" for line in layout["clutter"])  # type: ignore[attr-defined]
    body = text(rows, str(layout["delimiter"]), end)
    path = folder / "scan.csv"
    path.write_bytes((clutter + body).encode(str(layout["encoding"])))
    return path


@fuzz
@given(
    layout=layouts(),
    values=st.lists(
        st.lists(st.integers(100, 3_499_999), min_size=111, max_size=111), min_size=1, max_size=3
    ),
    scale=st.sampled_from(["Abs", "%T", "T [0-1]"]),
    along=st.booleans(),
    falls=st.booleans(),
)
def test_spectra(
    folder: Path,
    layout: dict[str, object],
    values: list[list[int]],
    scale: str,
    along: bool,
    falls: bool,
) -> None:
    numbers = np.array(values) / 1e6  # absorbance 0.0001 to 3.5, or transmittance 0.01 to 100 %
    printed = {"Abs": numbers, "%T": numbers * 28.0, "T [0-1]": numbers * 0.28}[scale]
    printed = np.round(printed, 6)
    names = [f"{scale} P{i + 1}_S{i + 2}".replace(" P", "_P") for i in range(len(values))]
    rows = down(printed, names, axis="nm", decimal=str(layout["decimal"]))
    if falls:
        rows = [rows[0], *rows[:0:-1]]
    if along:
        rows = turned(rows)
    file = read_spectra(_write(folder, rows, layout))
    expected = printed * (0.01 if scale == "%T" else 1.0)
    np.testing.assert_allclose(file.values, expected, rtol=1e-12, atol=0)
    assert file.quantity == ("absorbance" if scale == "Abs" else "transmittance")
    assert file.plates == tuple(str(i + 1) for i in range(len(values)))
    assert file.spots == tuple(str(i + 2) for i in range(len(values)))


@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    values=st.lists(st.floats(0.0, 3.5), min_size=111, max_size=111),
    along=st.booleans(),
    as_text=st.booleans(),
    clutter=st.integers(0, 5),
)
def test_workbook(
    folder: Path, values: list[float], along: bool, as_text: bool, clutter: int
) -> None:
    wavelength = range(290, 401)
    rows: list[list[object]] = [["Wavelength (nm)", "Absorbance"]]
    rows += [
        [w, number(v, ",", 9) if as_text else v] for w, v in zip(wavelength, values, strict=True)
    ]
    if along:
        rows = [list(column) for column in zip(*rows, strict=True)]
    path = xlsx(folder, {"Scan": [*([["Lab", "note"]] * clutter), *rows]})
    found = read_spectra(path).values[0]
    np.testing.assert_allclose(
        found, values, rtol=0, atol=1e-9 if as_text else 1e-14
    )  # XLSX holds 16 digits


@fuzz
@given(
    layout=layouts(),
    doses=st.lists(
        st.tuples(st.integers(1, 99_999), st.integers(1, 99_999)), min_size=1, max_size=20
    ),
)
def test_erythema_doses(
    folder: Path, layout: dict[str, object], doses: list[tuple[int, int]]
) -> None:
    sign = str(layout["decimal"])
    # two decimals on every number: "1,234" alone would be ambiguous, rightly refused
    pairs = [(a / 100 + 0.01, (a + b) / 100 + 0.01) for a, b in doses]
    rows = [["Volunteer", "MEDu", "MEDp"]]
    rows += [
        [str(i + 1), *(f"{x:.2f}".replace(".", sign) for x in pair)] for i, pair in enumerate(pairs)
    ]
    table = read_med_table(_write(folder, rows, layout))
    np.testing.assert_allclose(table.numbers("med_unprotected"), [a for a, _ in pairs])
    np.testing.assert_allclose(table.numbers("med_protected"), [b for _, b in pairs])
    assert table["subject"] == tuple(str(i + 1) for i in range(len(pairs)))


@fuzz
@given(
    layout=layouts(),
    shares=st.lists(st.integers(1, 1000), min_size=3, max_size=40),
    micrometres=st.booleans(),
    weighting=st.sampled_from(["Number", "Volume", "Intensity"]),
    cumulative=st.booleans(),
    falls=st.booleans(),
)
def test_size_distribution(
    folder: Path,
    layout: dict[str, object],
    shares: list[int],
    micrometres: bool,
    weighting: str,
    cumulative: bool,
    falls: bool,
) -> None:
    sign = str(layout["decimal"])
    share = np.array(shares) / sum(shares)
    diameter = 50.0 * 1.3 ** np.arange(share.size)
    column = np.cumsum(share) if cumulative else share
    unit, factor = ("\u00b5m", 1e-3) if micrometres else ("nm", 1.0)
    kind = f"Cum._{weighting}_(%)" if cumulative else f"{weighting}_(%)"
    body = [
        [f"{d * factor:.7f}".replace(".", sign), f"{100 * s:.7f}".replace(".", sign)]
        for d, s in zip(diameter, column, strict=True)
    ]
    rows = [[f"Size_({unit})", kind], *(body[::-1] if falls else body)]
    file = read_size_distribution(_write(folder, rows, layout))
    assert file.weighting == weighting.lower()
    assert file.was_cumulative is cumulative
    assert file.can_decide_nano is (weighting == "Number")
    np.testing.assert_allclose(file.share, share, atol=1e-6)
    if not cumulative:
        np.testing.assert_allclose(file.diameter_nm, diameter, rtol=1e-5)


@fuzz
@given(
    layout=layouts(),
    readings=st.lists(
        st.tuples(*[st.integers(0, 100_000), *[st.integers(-50_000, 50_000)] * 2]),
        min_size=1,
        max_size=12,
    ),
    side_by_side=st.booleans(),
)
def test_colour(
    folder: Path,
    layout: dict[str, object],
    readings: list[tuple[int, int, int]],
    side_by_side: bool,
) -> None:
    sign = str(layout["decimal"])
    lab = [[x / 1000 for x in reading] for reading in readings]
    printed = [[f"{x:.4f}".replace(".", sign) for x in row] for row in lab]
    names = ["L*", "a*", "b*"]
    if side_by_side:
        rows = [["subject", *(f"{n}_before" for n in names), *(f"{n}_after" for n in names)]]
        rows += [[str(i), *row, *row] for i, row in enumerate(printed)]
    else:
        rows = [["subject", "condition", *names]]
        for state in ("bare", "film"):
            rows += [[str(i), state, *row] for i, row in enumerate(printed)]
    file = read_colour(_write(folder, rows, layout))
    for state in ("before", "after"):
        found = [[r.L, r.a, r.b] for r in file.rows if r.condition == state]
        np.testing.assert_allclose(found, lab)


@fuzz
@given(
    layout=layouts(),
    points=st.lists(
        st.tuples(st.integers(1, 10**6), st.integers(1, 10**7)), min_size=1, max_size=20
    ),
    pascal=st.booleans(),
)
def test_flow_curve(
    folder: Path, layout: dict[str, object], points: list[tuple[int, int]], pascal: bool
) -> None:
    sign = str(layout["decimal"])
    unit, factor = ("Pa.s", 1e-3) if pascal else ("mPa.s", 1.0)
    rows = [["Shear_rate_[1/s]", f"Viscosity_[{unit}]"]]
    rows += [[f"{x / 100:.4f}".replace(".", sign), f"{y * factor:.4f}".replace(".", sign)]
             for x, y in points]  # fmt: skip
    file = read_flow_curve(_write(folder, rows, layout))
    np.testing.assert_allclose(file.shear_rate_1_s, [x / 100 for x, _ in points])
    np.testing.assert_allclose(file.viscosity_mPas, [y for _, y in points], atol=0.06)
    np.testing.assert_allclose(file.stress_Pa, file.viscosity_mPas * 1e-3 * file.shear_rate_1_s)


@fuzz
@given(
    numbers=st.lists(
        st.lists(st.integers(-(10**9), 10**9), min_size=3, max_size=3), min_size=2, max_size=8
    ),
    layout=layouts(),
)
def test_grid_keeps_numbers_and_places(
    folder: Path, numbers: list[list[int]], layout: dict[str, object]
) -> None:
    sign = str(layout["decimal"])
    rows = [[f"{n / 10_000:.4f}".replace(".", sign) for n in row] for row in numbers]
    rows = [["one", "two", "three"], *rows]
    grid = read_grid(_write(folder, rows, layout))
    assert grid.decimal == sign
    last = len(grid.cells) - 1 if grid.cells[-1] else len(grid.cells) - 2
    found = grid.cells[last - len(numbers) + 1 : last + 1]
    assert [list(row) for row in found] == [[n / 10_000 for n in row] for row in numbers]
    clutter = layout["clutter"]
    assert str(grid.origin(last, 2)) == (
        f"row {len(clutter) + 1 + len(numbers)}, column 3"  # type: ignore[arg-type]
    )
