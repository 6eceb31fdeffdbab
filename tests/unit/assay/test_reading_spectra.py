"""Spectra in the layouts in which instruments export them. Layouts and numbers are invented."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from instrument_files import (
    WAVELENGTH,
    absorbance,
    down,
    number,
    text,
    turned,
    write,
    xlsx,
)

from zincite.errors import InputError
from zincite.evaluation.assay.reading import read_spectra

A = absorbance(2)
T = 10.0**-A
"""Decadic absorbance and transmittance: T = 10^-A by definition (IUPAC Gold Book)."""


def close(found: np.ndarray, expected: np.ndarray, tolerance: float = 1e-9) -> None:
    np.testing.assert_allclose(found, expected, rtol=0, atol=tolerance)


def test_absorbance_down_a_column(tmp_path: Path) -> None:
    file = read_spectra(write(tmp_path, text(down(A, ["Abs P1_S1", "Abs P1_S2"]))))
    assert file.quantity == "absorbance"
    close(file.values, A)
    assert (file.plates, file.spots) == (("1", "1"), ("1", "2"))
    assert file.columns == ("column 2", "column 3")
    assert not file.saturated.any()
    close(file.transmittance, T)


def test_percent_transmittance_with_decimal_comma_in_utf16(tmp_path: Path) -> None:
    rows = down(100 * T, ["%T plate 1 spot 1", "%T plate 2 spot 1"], decimal=",")
    clutter = "Instrument;X 1.2\r\nDate;12.03.2024\r\n\r\nOperator;AB;\r\n"
    content = (clutter + text(rows, ";", "\r\n")).encode("utf-16")
    file = read_spectra(write(tmp_path, content))
    assert file.quantity == "transmittance"
    close(file.values, T, 1e-8)  # printed to 1e-6 %
    assert file.plates == ("1", "2")
    assert "UTF-16 LE text, cells between semicolons, decimal comma." in file.understood


def test_wavelengths_along_a_row(tmp_path: Path) -> None:
    rows = turned(down(A, ["Plate 3 spot 1", "Plate 3 spot 2"]))
    file = read_spectra(write(tmp_path, "Y axis: Absorbance\n\n" + text(rows, "\t")))
    close(file.values, A)
    assert file.plates == ("3", "3")
    assert file.columns == ("row 4", "row 5")
    assert any("along row 3" in sentence for sentence in file.understood)


def test_falling_wavelengths(tmp_path: Path) -> None:
    rows = down(A, ["Abs 1", "Abs 2"])
    file = read_spectra(write(tmp_path, text([rows[0], *rows[:0:-1]])))
    close(file.values, A)
    assert any("falling" in sentence for sentence in file.understood)


@pytest.mark.parametrize("step", [0.5, 1.0, 2.0, 5.0])
def test_steps_meet_the_grid_by_linear_absorbance(tmp_path: Path, step: float) -> None:
    wavelength = np.arange(280.0, 420.0 + step / 2, step)
    line = (0.01 * (420.0 - wavelength))[None, :]
    rows = down(line, ["Abs"], wavelength=wavelength)
    file = read_spectra(write(tmp_path, text(rows)))
    # a straight line is its own linear interpolation
    close(file.values[0], 0.01 * (420.0 - WAVELENGTH))


def test_transmittance_is_interpolated_as_absorbance(tmp_path: Path) -> None:
    wavelength = np.arange(290.0, 401.0, 2.0)
    line = 10.0 ** -(0.01 * (420.0 - wavelength))
    rows = [["nm", "Transmittance"]]
    rows += [[f"{w:g}", f"{t:.12f}"] for w, t in zip(wavelength, line, strict=True)]
    file = read_spectra(write(tmp_path, text(rows)))
    close(file.absorbance[0], 0.01 * (420.0 - WAVELENGTH))


def test_repeated_blocks_are_plates(tmp_path: Path) -> None:
    blocks = "".join(
        f"Sample X\nPlate: {plate}\nMode: absorbance\n\n"
        + text(down(A + 0.1 * plate, ["spot 1", "spot 2"]), ";")
        + "\n"
        for plate in (1, 2, 3)
    )
    file = read_spectra(write(tmp_path, blocks))
    assert file.values.shape == (6, 111)
    assert file.plates == ("1", "1", "2", "2", "3", "3")
    assert file.spots == ("1", "2") * 3
    close(file.values[4], A[0] + 0.3)


def test_blocks_without_labels_count_as_plates_and_are_said(tmp_path: Path) -> None:
    block = text(down(A, ["Abs", "Abs"]))
    file = read_spectra(write(tmp_path, block + "\n" + block))
    assert file.plates == ("1", "1", "2", "2")
    assert "No plate is named: each block counts as a plate." in file.understood


def test_two_scans_below_each_other_without_header(tmp_path: Path) -> None:
    rows = down(A[:1], ["Abs"])
    file = read_spectra(write(tmp_path, text([*rows, *rows[1:]])))
    assert file.values.shape == (2, 111)
    assert file.spots == ("1", "2")


def test_a_page_header_inside_a_scan_does_not_cut_it(tmp_path: Path) -> None:
    rows = down(A, ["Abs 1", "Abs 2"])
    file = read_spectra(write(tmp_path, text([*rows[:60], [], rows[0], *rows[60:]])))
    close(file.values, A)


def test_wavelength_and_reading_pairs(tmp_path: Path) -> None:
    rows = [["Wavelength", "Abs", "Wavelength", "Abs"]]
    rows += [
        [number(w), number(a), number(w), number(b)] for w, a, b in zip(WAVELENGTH, *A, strict=True)
    ]
    close(read_spectra(write(tmp_path, text(rows))).values, A)


def test_index_mean_and_spread_are_no_spectra(tmp_path: Path) -> None:
    rows = down(np.vstack([A, A.mean(0), A.std(0)]), ["Abs 1", "Abs 2", "Mean", "SD"])
    numbered = [["No.", *rows[0]], *([str(i), *row] for i, row in enumerate(rows[1:], 1))]
    file = read_spectra(write(tmp_path, text(numbered)))
    close(file.values, A)
    assert any("'Mean'" in s and "'SD'" in s for s in file.understood)


def test_merged_header_and_several_sheets(tmp_path: Path) -> None:
    rows = [[float(w), *map(float, A[:, i])] for i, w in enumerate(WAVELENGTH)]
    sheets = {
        f"Plate {plate}": [
            ["Export"],
            [None, "Absorbance", None],
            ["nm", "spot 1", "spot 2"],
            *rows,
        ]
        for plate in (1, 2)
    }
    file = read_spectra(xlsx(tmp_path, sheets))
    assert file.values.shape == (4, 111)
    assert file.plates == ("1", "1", "2", "2")
    assert file.columns[3] == "column C of sheet 'Plate 2'"
    close(file.values[:2], A)


def test_merged_plate_header_over_spots(tmp_path: Path) -> None:
    four = absorbance(4)
    rows = down(100 * 10.0**-four, ["1", "2", "1", "2"])
    units = ["", *["%T"] * 4]
    head = ["", "Plate 1", "", "Plate 2", ""]
    file = read_spectra(write(tmp_path, text([head, units, *rows], ";")))
    assert file.plates == ("1", "1", "2", "2")
    assert file.spots == ("1", "2", "1", "2")


def test_plate_and_spot_as_columns_beside_a_row_of_wavelengths(tmp_path: Path) -> None:
    rows = [["Plate", "Spot", "Time", *(f"{w:g}" for w in WAVELENGTH)]]
    for plate, spot, values in (("1", "7", A[0]), ("2", "8", A[1])):
        rows.append([plate, spot, "10:22", *(number(v) for v in values)])
    file = read_spectra(write(tmp_path, "Absorbance\n" + text(rows, ";")))
    close(file.values, A)
    assert (file.plates, file.spots) == (("1", "2"), ("7", "8"))


def test_plate_and_spot_as_lines_above_a_column_of_wavelengths(tmp_path: Path) -> None:
    four = absorbance(4)
    head = [["Plate", "1", "", "2", ""], ["Spot", "3", "4", "3", "4"]]
    rows = [*head, *down(four, ["Abs"] * 4)]
    file = read_spectra(write(tmp_path, text(rows, "\t")))
    close(file.values, four)
    assert (file.plates, file.spots) == (("1", "1", "2", "2"), ("3", "4", "3", "4"))


def test_one_reading_a_row_with_plate_and_spot(tmp_path: Path) -> None:
    rows = [["Plate", "Spot", "Wavelength (nm)", "Absorbance"]]
    for plate, spot, values in (("1", "a", A[0]), ("1", "b", A[1]), ("2", "a", A[1])):
        rows += [
            [plate, spot, number(w), number(v)] for w, v in zip(WAVELENGTH, values, strict=True)
        ]
    file = read_spectra(write(tmp_path, text(rows)))
    close(file.values, A[[0, 1, 1]])
    assert (file.plates, file.spots) == (("1", "1", "2"), ("a", "b", "a"))


def test_decimal_commas_quoted_between_commas(tmp_path: Path) -> None:
    rows = down(A, ["Abs 1", "Abs 2"], decimal=",")
    close(read_spectra(write(tmp_path, text(rows, ","))).values, A)


def test_before_and_after_are_told_apart(tmp_path: Path) -> None:
    names = ["P1_S1 before Abs", "P1_S1 after Abs"]
    file = read_spectra(write(tmp_path, text(down(A, names))))
    assert file.conditions == ("before", "after")
    assert file.spots == ("1", "1")


def test_percent_cells_of_a_workbook(tmp_path: Path) -> None:
    path = xlsx(tmp_path, {"Scan": [["nm", "Spot 1"]]})
    from openpyxl import load_workbook

    book = load_workbook(path)
    for index, w in enumerate(WAVELENGTH):
        book["Scan"].append([w, float(T[0, index])])
        book["Scan"].cell(row=index + 2, column=2).number_format = "0.00%"
    book.save(path)
    file = read_spectra(path)
    assert file.quantity == "transmittance"
    close(file.values[0], T[0])


@pytest.mark.parametrize("word", ["OVER", "> 3.5", ">3,5", "###", "inf", "Overflow"])
def test_saturated_readings_become_lower_bounds(tmp_path: Path, word: str) -> None:
    rows = down(A, ["Abs 1", "Abs 2"])
    rows[11][1] = rows[12][1] = word
    file = read_spectra(write(tmp_path, text(rows, ";")))
    assert file.saturated[0].nonzero()[0].tolist() == [10, 11]
    bound = 3.5 if "3" in word else A.max()
    assert file.values[0, 10] == pytest.approx(bound)
    assert any(s.startswith("2 readings over range") for s in file.understood)


def test_readings_beyond_3_5_count_as_saturated(tmp_path: Path) -> None:
    values = A.copy()
    values[1, 5] = 4.2
    file = read_spectra(write(tmp_path, text(down(values, ["Abs 1", "Abs 2"]))))
    assert file.saturated.sum() == 1
    assert file.saturated[1, 5]
    assert file.values[1, 5] == 4.2


@pytest.mark.parametrize("word", ["", "-", "NaN", "n/a"])
def test_a_gap_of_2_nm_is_interpolated_and_said(tmp_path: Path, word: str) -> None:
    line = (0.01 * (420.0 - WAVELENGTH))[None, :]
    rows = down(line, ["Abs"])
    rows[21][1] = rows[22][1] = word
    file = read_spectra(write(tmp_path, text(rows, ";")))
    close(file.values, line)
    assert [(gap.first_nm, gap.last_nm) for gap in file.gaps] == [(310.0, 311.0)]
    assert "1 gap interpolated at 310-311 nm." in file.understood


def test_a_gap_of_3_nm_is_refused_by_its_cell(tmp_path: Path) -> None:
    rows = down(A, ["Abs 1", "Abs 2"])
    rows[21][2] = rows[22][2] = rows[23][2] = "-"
    with pytest.raises(InputError, match=r"between 309 and 313 nm \(from row 22, column 3\)"):
        read_spectra(write(tmp_path, text(rows)))


def test_noise_below_zero_is_clipped_and_said(tmp_path: Path) -> None:
    values = 100 * T
    values[0, 3] = -0.4
    file = read_spectra(write(tmp_path, text(down(values, ["%T 1", "%T 2"]))))
    assert file.saturated[0, 3]
    assert file.values[0, 3] == pytest.approx(10**-3.5)
    assert any("1 reading at or below 0 %" in s for s in file.understood)


def test_identical_repeats_of_a_wavelength_are_dropped(tmp_path: Path) -> None:
    rows = down(A, ["Abs 1", "Abs 2"])
    file = read_spectra(write(tmp_path, text([*rows[:50], rows[49], *rows[50:]])))
    close(file.values, A)
    assert any("identical and dropped" in s for s in file.understood)


def test_values_below_1_without_words_are_ambiguous(tmp_path: Path) -> None:
    path = write(tmp_path, text(down(0.5 * A, ["1", "2"])))
    with pytest.raises(InputError, match=r"could be transmittance or absorbance.*quantity="):
        read_spectra(path)
    assert read_spectra(path, quantity="absorbance").quantity == "absorbance"
    close(read_spectra(path, quantity="transmittance").values, 0.5 * A, 1e-6)


def test_values_settle_what_headers_leave_open(tmp_path: Path) -> None:
    percent = read_spectra(write(tmp_path, text(down(100 * T, ["1", "2"]))))
    assert percent.quantity == "transmittance"
    close(percent.values, T, 1e-8)
    high = read_spectra(write(tmp_path, text(down(A, ["1", "2"]))))
    assert high.quantity == "absorbance"
    fraction = read_spectra(write(tmp_path, text(down(T, ["Transmittance", "Transmittance"]))))
    close(fraction.values, T, 1e-6)


def test_quantity_picks_columns_of_a_file_with_both(tmp_path: Path) -> None:
    path = write(tmp_path, text(down(np.vstack([100 * T[0], A[0]]), ["%T", "Abs"])))
    with pytest.raises(InputError, match="column 2 holds transmittance and column 3 absorbance"):
        read_spectra(path)
    close(read_spectra(path, quantity="absorbance").values, A[:1])
    close(read_spectra(path, quantity="transmittance").values, T[:1], 1e-8)


def test_letters_as_spot_names_are_no_quantity(tmp_path: Path) -> None:
    rows = down(100 * absorbance(3), ["A", "B", "T"])
    with pytest.raises(InputError, match="transmittance of 1"):
        read_spectra(write(tmp_path, text(rows)))


def test_sample_names_are_kept_and_bare_quantities_are_no_names(tmp_path: Path) -> None:
    file = read_spectra(write(tmp_path, text(down(A, ["Cream X (A)", "Absorbance (a.u.)"]))))
    assert file.names == ("Cream X (A)", "plate 1 spot 2")


def test_to_dict_holds_plain_numbers(tmp_path: Path) -> None:
    import json

    file = read_spectra(write(tmp_path, text(down(A, ["Abs 1", "Abs 2"]))))
    shown = json.loads(json.dumps(file.to_dict(), allow_nan=False))
    assert shown["spectra"][1]["spot"] == "2"
