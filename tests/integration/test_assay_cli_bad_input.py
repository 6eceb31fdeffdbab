"""Broken files and options of `zincite assay`: status 2, one sentence that names the file."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from zincite.interfaces.cli.app import application

EXAMPLES = Path(__file__).parents[2] / "examples" / "assay"
PANEL = "subject,med_unprotected,med_protected\n"
SPECTRUM = "".join(f"{w},0.5\n" for w in range(290, 401))

FILES: dict[str, tuple[str, bytes | str, str]] = {
    "empty": ("spf", "", "empty"),
    "text only": ("spf", "nothing here\nat all\n", "no header row"),
    "another test's file": ("size", PANEL + "1,25,600\n", "row 1 has 'subject', 'med_"),
    "no rows": ("spf", PANEL, "no rows"),
    "unit mixed": (
        "spf",
        "subject,MEDu (mJ/cm2),MEDp (J/m2)\n1,25,600\n",
        "one unit",
    ),
    "columns swapped": ("spf", PANEL + "".join(f"{n},600,25\n" for n in range(9)), "swapped"),
    "no usable subject": ("spf", PANEL + "1,25,\n2,,600\n", "usable"),
    "formula cell": ("spf", PANEL + "1,=A1,600\n", "=A1"),
    "binary": ("spf", b"\x00\x01\x02" * 100, "expected"),
    "not a workbook": ("uva", b"PK\x03\x04 broken", "expected"),
    "few wavelengths": ("uva", "nm,A\n" + "".join(f"{w},0.5\n" for w in range(290, 330)), "290"),
    "wavelength twice": ("uva", "nm,Absorbance\n300,0.4\n300,0.6\n" + SPECTRUM, "300"),
    "no film": ("uva", "nm,Absorbance\n" + SPECTRUM.replace("0.5", "0.0"), "film"),
    "water without wet": ("water", "subject,spf_static\n1,30\n", "spf_wet"),
    "water negative": ("water", "subject,spf_static,spf_wet\n1,30,-2\n", "above 0"),
    "reported impossible": ("double-plate", "plate,spf\n1,3000\n", "3000"),
    "reported nothing": ("hybrid", "subject,age\n1,30\n", "spf"),
    "colour without after": (
        "colour",
        "subject,condition,L*,a*,b*\n1,before,60,10,15\n",
        "expected before and after",
    ),
    "colour beyond": ("colour", "subject,condition,L*,a*,b*\n1,before,600,10,15\n", "600"),
    "contrast swapped": ("contrast", "card,Y black,Y white\n1,80,20\n2,81,21\n", "swapped"),
    "one grade": ("screening", "grade,value\nA,1\nA,2\n", "expected"),
    "grades once each": ("screening", "grade,value\nA,1\nB,2\n", "expected"),
    "sizes of one class": ("size", "Size (nm),Volume %\n100,100\n", "classes"),
    "flow without unit": ("flow", "shear rate 1/s,viscosity\n1,5\n10,3\n100,1\n", "unit"),
    "flow by speed": ("flow", "rpm,viscosity mPa s\n1,5\n10,3\n100,1\n", "rotational speed"),
}
EXTRA: dict[str, tuple[object, ...]] = {"water": ("--minutes", 40), "uva": ("--label-spf", 30)}


def refused(*arguments: object) -> str:
    started = time.perf_counter()
    found = CliRunner().invoke(application, ["assay", *(str(a) for a in arguments)])
    assert found.exit_code == 2, found.output
    assert time.perf_counter() - started < 5
    lines = found.stderr.strip().splitlines()
    assert len(lines) == 1, found.stderr
    assert "Traceback" not in found.stderr
    assert "fault of the program" not in found.stderr
    assert found.stdout == ""
    return lines[0]


@pytest.mark.parametrize("name", FILES)
def test_a_broken_file_gets_one_sentence(tmp_path: Path, name: str) -> None:
    command, content, said = FILES[name]
    path = tmp_path / "broken.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    given = ("--before", path) if command == "uva" else (path,)
    sentence = refused(command, *given, *EXTRA.get(command, ()))
    assert "broken.csv" in sentence
    assert said in sentence


def _edited(folder: Path, name: str, change: Callable[[str], str]) -> Path:
    path = folder / name
    path.write_text(change((EXAMPLES / name).read_text("utf-8")), "utf-8")
    return path


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda t: t.replace("Plate 4 spot", "Plate 5 spot"), "same plates"),
        (lambda t: t.replace("Plate 4 spot 5", "Plate 4 spot 9"), "same spots"),
        (lambda t: t.replace("after irradiation", "before irradiation"), "files swapped"),
    ],
)
def test_states_that_do_not_match_are_refused(
    tmp_path: Path, change: Callable[[str], str], said: str
) -> None:
    after = _edited(tmp_path, "uva_after.csv", change)
    before = EXAMPLES / "uva_before.csv"
    assert said in refused("uva", "--before", before, "--after", after, "--label-spf", 30)


UVA = ("--before", EXAMPLES / "uva_before.csv")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("uva", *UVA), "--label-spf"),
        (("uva", *UVA, "--label-spf", 1), "expected above 1"),
        (("uva", *UVA, "--label-spf", 30, "--edition", "2019"), "2019"),
        (("uva", *UVA, "--label-spf", 30, "--model", "lab.json"), "--formula"),
        (("uva", *UVA, "--label-spf", 30, "--formula", "none.toml"), "none.toml"),
        (("uva", "--before", "none.csv", "--label-spf", 30), "none.csv"),
        (("photostability", *UVA), "no spectra after irradiation"),
        (("water", EXAMPLES / "water.csv", "--minutes", 60), "60"),
        (("spf", EXAMPLES / "spf.csv", "--reference", "P9=30"), "P9"),
        (("screening", EXAMPLES / "screening.csv", "--control", "gold"), "gold"),
        (("screening", EXAMPLES / "screening.csv", "--confidence", 2), "confidence"),
        (("size", EXAMPLES / "sizes.csv", "--core", "gold"), "gold"),
        (("size", EXAMPLES / "sizes.csv", "--weighting", "number"), "number"),
        (("flow", EXAMPLES / "flow.csv", "--at", -1), "expected above 0"),
        (
            ("colour", EXAMPLES / "colour.csv", "--max-delta-e00", 5, "--max-delta-l", 3),
            "one of the two",
        ),
        (("spf", EXAMPLES / "spf.csv", "--html", "/no/such/folder/x.html"), "x.html"),
        (("spf", EXAMPLES), "folder"),
        (("shine", EXAMPLES / "spf.csv"), "shine"),
    ],
)
def test_an_impossible_option_gets_one_sentence(arguments: tuple[object, ...], said: str) -> None:
    assert said in refused(*arguments)
