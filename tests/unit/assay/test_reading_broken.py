"""Deliberately broken files: each gets one sentence at once, never a traceback."""

from __future__ import annotations

import io
import os
import re
import struct
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from instrument_files import WAVELENGTH, absorbance, down, text, write, xlsx

from zincite.errors import InputError
from zincite.evaluation.assay.reading import (
    read_colour,
    read_flow_curve,
    read_med_table,
    read_size_distribution,
    read_spectra,
)

A = absorbance(2)
T = 10.0**-A
ABS = down(A, ["Abs 1", "Abs 2"])
Make = Callable[[Path], Path]


def lines(*rows: str, name: str = "scan.csv") -> Make:
    return lambda folder: write(folder, "\n".join(rows) + "\n", name)


def content(data: bytes | str, name: str = "scan.csv") -> Make:
    return lambda folder: write(folder, data, name)


def spectra(values: np.ndarray, names: list[str]) -> Make:
    return content(text(down(values, names)))


def changed(changes: dict[tuple[int, int], str], delimiter: str = ",") -> Make:
    """Return a good file with cells changed, by row and column from 0."""
    rows = [list(row) for row in ABS]
    for (row, column), cell in changes.items():
        rows[row][column] = cell
    return content(text(rows, delimiter))


def _with(values: np.ndarray, row: int, column: int, value: float) -> np.ndarray:
    new = values.copy()
    new[row, column] = value
    return new


def _folder(folder: Path) -> Path:
    (folder / "scan.csv").mkdir()
    return folder / "scan.csv"


def _pipe(folder: Path) -> Path:
    os.mkfifo(folder / "scan.csv")
    return folder / "scan.csv"


def _loop(folder: Path) -> Path:
    (folder / "scan.csv").symlink_to(folder / "scan.csv")
    return folder / "scan.csv"


def _good_workbook(folder: Path) -> bytes:
    rows = [["nm", "Abs 1"], *([float(w), float(a)] for w, a in zip(WAVELENGTH, A[0], strict=True))]
    return xlsx(folder, {"Scan": rows}, "good.xlsx").read_bytes()


def _truncated_workbook(folder: Path) -> Path:
    return write(folder, _good_workbook(folder)[:-200], "scan.xlsx")


def _half_workbook(folder: Path) -> Path:
    whole = _good_workbook(folder)
    return write(folder, whole[: len(whole) // 2], "scan.xlsx")


def _archive(members: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return stream.getvalue()


def _replaced(part: str, data: Callable[[bytes], bytes]) -> Make:
    def make(folder: Path) -> Path:
        with zipfile.ZipFile(io.BytesIO(_good_workbook(folder))) as old:
            members = {name: old.read(name) for name in old.namelist()}
        members[part] = data(members[part])
        return write(folder, _archive(members), "scan.xlsx")

    return make


SHEET = "xl/worksheets/sheet1.xml"


def _formulas(folder: Path) -> Path:
    rows = [["nm", "Abs 1"], *([float(w), f"=A{i + 2}/300"] for i, w in enumerate(WAVELENGTH))]
    return xlsx(folder, {"Scan": rows})


def _empty_workbook(folder: Path) -> Path:
    return xlsx(folder, {"Scan": []})


def _many_entries(folder: Path) -> Path:
    members = {f"xl/part{i}.xml": b"<a/>" for i in range(3000)} | {"[Content_Types].xml": b"<a/>"}
    return write(folder, _archive(members), "scan.xlsx")


def _encrypted(folder: Path) -> Path:
    data = bytearray(_good_workbook(folder))
    at = data.find(b"PK\x01\x02")
    while at >= 0:
        flags = struct.unpack_from("<H", data, at + 8)[0]
        struct.pack_into("<H", data, at + 8, flags | 1)
        at = data.find(b"PK\x01\x02", at + 4)
    return write(folder, bytes(data), "scan.xlsx")


def _billion_laughs(sheet: bytes) -> bytes:
    entities = b'<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>'
    return sheet.replace(b"<worksheet", entities + b"<worksheet", 1)


SPECTRA: dict[str, tuple[Make, str]] = {
    "missing": (lambda f: f / "scan.csv", "no such file"),
    "folder": (_folder, "is a folder"),
    "pipe": (_pipe, "device or a pipe"),
    "link to itself": (_loop, "cannot be opened"),
    "empty": (content(b""), "is empty"),
    "blank": (content(b" \n\n \t\n"), "only blank space"),
    "only a mark": (content(b"\xff\xfe"), "only blank space"),
    "binary junk": (content(bytes(range(256)) * 40), "zero bytes"),
    "control characters": (content(bytes(range(1, 32)) * 40), "control characters"),
    "half UTF-16": (content("nm;Abs\n290;0,5\n".encode("utf-16")[:-1]), "UTF-16 LE but byte"),
    "UTF-16 without mark": (content("nm;Abs\n290;0,5\n".encode("utf-16-le")), "zero bytes"),
    "old binary workbook": (
        content(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "scan.xls"),
        "old binary or a password-protected workbook",
    ),
    "text named xlsx": (content("nm;Abs\n290;0,5\n", "scan.xlsx"), "named .xlsx but is no such"),
    "zip without workbook": (content(_archive({"a.txt": b"x"}), "scan.xlsx"), "without a workbook"),
    "zip signature only": (content(b"PK\x03\x04", "scan.xlsx"), "truncated or damaged"),
    "truncated workbook": (_truncated_workbook, "truncated or damaged"),
    "half a workbook": (_half_workbook, "truncated or damaged"),
    "broken sheet": (_replaced(SHEET, lambda d: d[: len(d) // 2]), "broken or incomplete workbook"),
    "sheet of junk": (_replaced(SHEET, lambda _: b"junk"), "broken or incomplete workbook"),
    "no workbook part": (_replaced("xl/workbook.xml", lambda _: b"<a/>"), "expected a table"),
    "XML entities": (_replaced(SHEET, _billion_laughs), "declares XML entities"),
    "vast row number": (
        _replaced(SHEET, lambda d: d.replace(b'r="112"', b'r="99999999999"')),
        "row below 1048576|broken",
    ),
    "many entries": (_many_entries, "zip of 3001 entries"),
    "password": (_encrypted, "password"),
    "formulas without values": (_formulas, "cell B2 of sheet 'Scan' holds a formula without"),
    "empty workbook": (_empty_workbook, "no cells on visible sheets"),
    "only header": (lines("Wavelength (nm);Abs 1;Abs 2"), "no column or row of at least 5"),
    "prose": (lines("Dear colleague,", "please find no data here."), "no column or row"),
    "3 wavelengths": (content(text(ABS[:4])), "no column or row of at least 5"),
    "truncated": (content(text(ABS)[:900]), "covers 290 to 3\\d\\d nm, expected 290 to 400"),
    "starts at 300": (content(text([ABS[0], *ABS[11:]])), "covers 300 to 400 nm"),
    "steps of 10 nm": (content(text(ABS[:1] + ABS[1::10])), "steps of 10 nm, expected at most 5"),
    "wavelengths only": (content(text([[row[0]] for row in ABS])), "no readings beside them"),
    "repeated wavelength": (
        changed({(52, 0): "340"}),
        "row 52 and row 53 both give 340 nm with different readings",
    ),
    "wavelengths out of order": (changed({(52, 0): "345.5"}), "out of order"),
    "lost wavelength": (changed({(52, 0): "3x1"}), "row 53, column 1 holds '3x1' where a wavelen"),
    "word among readings": (changed({(9, 2): "oops"}), "row 10, column 2 holds 'oops'|column 3"),
    "wide gap": (changed({(r, 1): "NaN" for r in range(9, 13)}), "no readings between 297 and 302"),
    "all NaN at one end": (
        changed({(r, 1): "NaN" for r in range(1, 9)}),
        "readings for 298 to 400",
    ),
    "error cells": (changed({(9, 1): "#DIV/0!"}), "'#DIV/0!', expected a reading"),
    "both decimal signs": (
        changed({(9, 1): "0,51"}, ";"),
        "decimal point in .* and a decimal comma",
    ),
    "comma twice": (lines("nm,A", *(f"{w:.0f},0,{w:.0f}5" for w in WAVELENGTH)), "a comma may sep"),
    "reflectance": (spectra(100 * T, ["%R", "%R"]), "holds reflectance"),
    "mixed units": (spectra(np.vstack([100 * T[0], A[0]]), ["%T", "Abs"]), "expected one quantity"),
    "% in some cells": (
        changed({(9, 1): "50 %", (10, 1): "49 %"}),
        "has no % sign though others of its column have",
    ),
    "ambiguous quantity": (spectra(T, ["1", "2"]), "could be transmittance or absorbance"),
    "ambiguous scale": (
        spectra(_with(T, 0, 0, 1.5), ["Transmittance", "Transmittance"]),
        "fraction above 1 or a low per cent",
    ),
    "transmittance above 105 %": (
        spectra(_with(100 * T, 1, 4, 106.0), ["%T", "%T"]),
        "row 6, column 3 holds a transmittance of 106 %, expected at most 105 %",
    ),
    "transmittance below -0.5 %": (
        spectra(_with(100 * T, 1, 4, -0.6), ["%T", "%T"]),
        "transmittance of -0.6 %, expected no less than -0.5 %",
    ),
    "absorbance that is per cent": (spectra(100 * T, ["Abs", "Abs"]), "is it transmittance in %"),
    "negative absorbance": (spectra(_with(A, 0, 9, -0.3), ["Abs", "Abs"]), "absorbance of -0.3"),
    "OVER in transmittance": (
        content(re.sub("\n300,[^,]*,", "\n300,OVER,", text(down(100 * T, ["%T", "%T"])))),
        "above full scale",
    ),
    "one cell too many": (
        content(text(ABS).replace("\n300,", "\n300,0,")),
        "row 12 holds 4 cells where others hold 3",
    ),
    "cell lost between blanks": (
        content(text(ABS, " ").replace("300   ", "300   ").replace(f"   {ABS[11][2]}\n", "\n", 1)),
        "holds 2 cells where others hold 3",
    ),
}

SIZE: dict[str, tuple[Make, str]] = {
    "no unit": (lines("Size,Volume %", "50,50", "100,30", "200,20"), "states no unit"),
    "no weighting": (lines("Size (nm),%", "50,50", "100,30", "200,20"), "does not say whether"),
    "two weightings": (
        lines("Size (nm),Volume %,Number %", "50,50,20", "100,30,30", "200,20,50"),
        "shares by number and volume",
    ),
    "not whole": (lines("Size (nm),Volume %", "50,20", "100,20", "200,20"), "sums to 60 %"),
    "curve not whole": (
        lines("Size (nm),Cum. volume %", "50,20", "100,40", "200,63"),
        "ends at 63 %",
    ),
    "curve falls": (
        lines("Size (nm),Cum. volume %", "50,20", "100,80", "200,40", "400,100"),
        "row 4, column 2 breaks the cumulative curve",
    ),
    "repeated diameter": (
        lines("Size (nm),Volume %", "50,50", "100,20", "100,10", "200,20"),
        "diameter of 100 that repeats",
    ),
    "negative share": (lines("Size (nm),Volume %", "50,-5", "100,85", "200,20"), "holds -5"),
    "zero diameter": (lines("Size (nm),Volume %", "0,50", "100,30", "200,20"), "holds 0 for diam"),
    "swapped columns": (
        lines("Volume (nm),Size %", "50,50", "100,30", "200,20"),
        "look swapped by their units",
    ),
    "swapped values": (
        lines("Size (nm),Volume %", "50,100", "30,200", "20,400"),
        "sums to 700 %",
    ),
    "only header": (lines("Size (nm),Volume %"), "no rows of numbers under it"),
    "text": (lines("Size (nm),Volume %", "50,50", "100,x", "200,20"), "holds 'x' for volume"),
}

COLOUR: dict[str, tuple[Make, str]] = {
    "no condition": (
        lines("subject,L*,a*,b*", "1,60,10,15", "1,65,9,14"),
        "2 readings of '1' and no column of conditions",
    ),
    "odd condition": (
        lines("subject,condition,L*,a*,b*", "1,bare,60,10,15", "1,maybe,65,9,14"),
        "row 3, column 2 holds 'maybe' for the condition",
    ),
    "two illuminants": (
        lines("D65", "D50", "subject,condition,L*,a*,b*", "1,bare,60,10,15"),
        "illuminants D50 and D65",
    ),
    "impossible L*": (lines("subject,L*,a*,b*", "1,160,10,15"), "holds 160 for L"),
    "no b*": (lines("subject,L*,a*", "1,60,10"), "no column b"),
}

FLOW: dict[str, tuple[Make, str]] = {
    "no unit": (lines("shear rate (1/s),viscosity", "1,20", "10,5"), "states no unit"),
    "speed": (lines("speed (rpm),viscosity (mPa s)", "1,20", "10,5"), "rotational speed"),
    "units disagree": (
        lines("shear rate (1/s),viscosity (mPa s),stress (Pa)", "1,20,20", "10,5,50"),
        "times the viscosity",
    ),
    "negative rate": (lines("shear rate (1/s),viscosity (Pa s)", "-1,20", "10,5"), "holds -1"),
    "thousands or decimals": (
        lines("shear rate (1/s);viscosity (mPa s)", "1;2,345", "2;1,234"),
        "decimal comma or thousands",
    ),
}

MED: dict[str, tuple[Make, str]] = {
    "swapped columns": (
        lines("subject,MEDu,MEDp", "1,900,30", "2,850,28", "3,27,800"),
        "2 of 3 rows, first in row 2, so the columns look swapped",
    ),
    "mixed units": (
        lines("subject,MEDu (mJ/cm2),MEDp (J/cm2)", "1,30,0.9", "2,28,0.85"),
        "expected one unit for both",
    ),
    "subject twice": (
        lines("subject,MEDu,MEDp", "1,30,900", "2,28,850", "1,27,800"),
        "row 2 and row 4 both hold subject '1'",
    ),
    "missing dose": (lines("subject,MEDu,MEDp", "1,30,900", "2,28,"), "row 3, column 3 holds noth"),
    "no protected dose": (lines("subject,MEDu", "1,30", "2,28"), "has no column med_protected"),
    "two columns of one name": (
        lines("subject,MEDu,MED u,MEDp", "1,30,30,900"),
        "both name the column med_unprotected",
    ),
    "NaN": (lines("subject,MEDu,MEDp", "1,30,900", "2,nan,850"), "holds nothing for med_unprot"),
    "zero dose": (lines("subject,MEDu,MEDp", "1,30,900", "2,0,850"), "holds 0 for med_unprotected"),
}

CASES = [
    pytest.param(reader, make, match, id=f"{kind}: {name}")
    for kind, reader, cases in (
        ("spectra", read_spectra, SPECTRA),
        ("size", read_size_distribution, SIZE),
        ("colour", read_colour, COLOUR),
        ("flow", read_flow_curve, FLOW),
        ("med", read_med_table, MED),
    )
    for name, (make, match) in cases.items()
]


def test_there_are_enough_broken_files() -> None:
    assert len(CASES) >= 40


@pytest.mark.parametrize(("reader", "make", "match"), CASES)
def test_broken_file_gets_one_sentence(
    reader: Callable[[Path], object], make: Make, match: str, tmp_path: Path
) -> None:
    path = make(tmp_path)
    start = time.perf_counter()
    with pytest.raises(InputError) as caught:
        reader(path)
    assert time.perf_counter() - start < 5
    message = str(caught.value)
    assert re.search(match, message), message
    assert message.startswith(path.name)
    assert message.isprintable()
    assert "expected" in message
    assert not re.search(r"\.\s+[A-Z]", message), "one sentence"
    assert len(message) < 400


def test_unreadable_permissions(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path, text(ABS))
    path.chmod(0)
    if os.access(path, os.R_OK):  # the superuser reads everything: have the system refuse

        def refuse(*_: object, **__: object) -> None:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(InputError, match=r"cannot be opened \(Permission denied\)"):
        read_spectra(path)


def test_impossible_path() -> None:
    with pytest.raises(InputError, match="cannot be opened"):
        read_spectra("a\x00b.csv")


def test_options_are_checked(tmp_path: Path) -> None:
    path = write(tmp_path, text(ABS))
    with pytest.raises(InputError, match="quantity is 'colour', expected one of absorbance"):
        read_spectra(path, quantity="colour")
    with pytest.raises(InputError, match="decimal sign is 'x', expected"):
        read_spectra(path, decimal="x")
    with pytest.raises(InputError, match="weighting is 'mass', expected one of number"):
        read_size_distribution(path, weighting="mass")
