"""Bad input: exit 2, one sentence that says where and what is expected, at once."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

import zincite.data
from zincite.interfaces.cli.app import application

sys.path.insert(0, str(Path(__file__).parent))
from formula_files import formula_file, with_card

FLUID = str(Path(zincite.data.__file__).parent / "demo" / "fluid.toml")
COMMAND = [sys.executable, "-c", "from zincite.interfaces.cli.main import main; main()"]


def _bytes(name: str, content: bytes) -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        path = folder / name
        path.write_bytes(content)
        return path

    return make


def _many(folder: Path) -> Path:
    extra = '\n  [[phase.ingredient]]\n  material = "glycerin"\n  percent = 0.001'
    return formula_file(folder, more=extra * 10_000)


FILES: dict[str, tuple[Callable[[Path], Path], str]] = {
    "sum below 100": (lambda f: formula_file(f, water=50), "93.7 %, expected 100 %"),
    "sum above 100": (lambda f: formula_file(f, water=70), "113.7 %, expected 100 %"),
    "nothing left for the rest": (lambda f: formula_file(f, pigment=90), "at most 100 %"),
    "unknown material": (
        lambda f: formula_file(
            f, more='  [[phase.ingredient]]\n  material = "zinc-oxde-100"\n  percent = 1\n'
        ),
        "zinc-oxide-100",
    ),
    "negative": (lambda f: formula_file(f, pigment=-1), "percent is -1, expected"),
    "nan": (lambda f: formula_file(f, pigment="nan"), "not a number (nan), expected"),
    "infinite": (lambda f: formula_file(f, pigment="inf"), "percent is inf, expected"),
    "text": (lambda f: formula_file(f, pigment='"much"'), "the text 'much', expected"),
    "negative absorption": (
        lambda f: with_card(f, grade="index = { urbach_meV = -5 }"),
        "urbach_meV is -5, expected",
    ),
    "k has no key": (lambda f: with_card(f, grade="index = { k = -0.1 }"), "'k', expected"),
    "negative extinction": (
        lambda f: with_card(
            f, grade="extinction = { wavelength_nm = [308, 360], L_per_g_cm = [10, -1] }"
        ),
        "expected",
    ),
    "negative index": (lambda f: with_card(f, properties="refractive_index = -1.4"), "expected"),
    "empty histogram": (
        lambda f: with_card(f, grade="histogram = { diameter_nm = [], share = [] }"),
        "expected",
    ),
    "histogram of zeros": (
        lambda f: with_card(f, grade="histogram = { diameter_nm = [50, 90], share = [0, 0] }"),
        "not all zero",
    ),
    "size of zero": (lambda f: with_card(f, median=0), "expected 1 to 20000 nm"),
    "10 000 ingredients": (_many, "expected at most 500"),
    "latin-1": (_bytes("a.toml", '[formula]\nname = "Käse"\n'.encode("latin-1")), "UTF-8"),
    "utf-16": (_bytes("b.toml", "[formula]".encode("utf-16")), "UTF-8"),
    "no toml": (_bytes("c.toml", b"Zinc Oxide 20 %\n"), "expected lines such as key = value"),
    "empty": (_bytes("d.toml", b""), "expected a table [formula]"),
    "too large": (_bytes("e.toml", b"#" * 5_000_001), "expected at most 5 MB"),
    "folder": (lambda f: f, "is a folder, expected a formula"),
    "missing": (lambda f: f / "none.toml", "no such file, expected a formula"),
}


def _refused(*arguments: object) -> str:
    """Run a command line that must be refused, and return its one sentence."""
    start = time.perf_counter()
    result = CliRunner().invoke(application, [str(a) for a in arguments])
    assert time.perf_counter() - start < 5
    assert result.exit_code == 2, result.output
    assert result.stdout == ""
    assert result.stderr.startswith("zincite: ")
    assert result.stderr.count("\n") == 1
    assert result.stderr.endswith("\n")
    assert "Traceback" not in result.stderr
    assert "fault of the program" not in result.stderr
    return result.stderr


@pytest.mark.parametrize("case", FILES)
@pytest.mark.parametrize("command", ["predict", "check", "tint"])
def test_bad_files_are_refused_in_one_sentence(tmp_path: Path, case: str, command: str) -> None:
    make, expected = FILES[case]
    path = make(tmp_path)
    said = _refused(command, path, "--json")
    assert str(path) in said
    assert expected in said


@pytest.mark.parametrize("place", [0, 1])
def test_either_file_of_a_comparison_is_refused(tmp_path: Path, place: int) -> None:
    files = [FLUID, FLUID]
    files[place] = str(formula_file(tmp_path, water=50))
    assert files[place] in _refused("compare", *files)


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (("predict",), "FORMULA.toml is missing, expected"),
        (("assay", "water", "w.csv"), "--minutes 40|80 is missing, expected"),
        (("predict", FLUID, "--jsn"), "no option '--jsn', expected --json"),
        (("predict", FLUID, "--dose", "much"), "'much' is not a valid float, expected"),
        (("predict", FLUID, "--dose", "0"), "--dose is 0, expected 0.1 to 10 mg/cm2"),
        (("predict", FLUID, "--dose", "nan"), "--dose is nan, expected 0.1 to 10 mg/cm2"),
        (("predict", FLUID, FLUID), "expected"),
        (("predict", FLUID, "--html"), "expected"),
        (("predict", FLUID, "--cards", "no-such-folder"), "expected material cards"),
        (("predict", FLUID, "--cards", FLUID), "expected [[material]] cards only"),
        (("check", FLUID, "--market", "atlantis"), "'atlantis', expected one of eu"),
        (("tint", FLUID, "--skin", "green"), "green, expected very light, light"),
        (("tint", FLUID, "--limit", "nan"), "expected above 0 to 20 %"),
        (("tint", FLUID, "--limit", "-1"), "expected above 0 to 20 %"),
        (("materials", "show", "zinc-oxid-100"), "expected one such as zinc-oxide-100"),
        (("materials", "list", "--phase", "fog"), "expected one of oil, water, pigment"),
        (("materials", "list", "--function", "magic"), "expected one of"),
        (("materials", "shw"), "no such command 'shw'"),
        (("predct", FLUID), "no such command 'predct'"),
        (("compare", FLUID), "B.toml is missing, expected"),
    ],
)
def test_bad_command_lines_are_refused(arguments: tuple[str, ...], expected: str) -> None:
    assert expected in _refused(*arguments)


@pytest.mark.parametrize("option", ["--html", "--write"])
def test_files_that_cannot_be_written_are_refused(tmp_path: Path, option: str) -> None:
    command = "predict" if option == "--html" else "tint"
    for target in (tmp_path, tmp_path / "no" / "folder" / "x"):
        said = _refused(command, FLUID, option, target, "--json")
        assert str(target) in said


def test_names_from_a_file_steer_no_terminal(tmp_path: Path) -> None:
    path = formula_file(tmp_path)
    text = path.read_text("utf-8").replace("Test lotion", "Test \\u001b[31mlotion")
    path.write_text(text, "utf-8")
    result = CliRunner().invoke(application, ["predict", str(path)])
    assert result.exit_code == 0
    assert "\x1b" not in result.output
    assert "Test ?[31mlotion" in result.output


def test_the_process_itself_leaves_with_status_2(tmp_path: Path) -> None:
    """Once through a real process: what the shell sees."""
    made = subprocess.run(
        [*COMMAND, "predict", str(formula_file(tmp_path, water=50)), "--json"],
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert made.returncode == 2
    assert made.stdout == ""
    assert made.stderr.count("\n") == 1


def test_an_output_without_room_is_one_sentence() -> None:
    full = Path("/dev/full")
    if not full.exists():
        pytest.skip("this system has no /dev/full")
    with full.open("w") as output:
        made = subprocess.run(
            [*COMMAND, "predict", FLUID], stdout=output, stderr=subprocess.PIPE, text=True
        )
    assert made.returncode == 2
    assert made.stderr.startswith("zincite: the output")
    assert made.stderr.count("\n") == 1
