"""`zincite batch`: the sum of the weights, the page, the file to fill in, exit statuses."""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys
from decimal import Decimal
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

import zincite.data
from zincite.interfaces.cli.app import application

sys.path.insert(0, str(Path(__file__).parent))
from formula_files import formula_file

FLUID = Path(zincite.data.__file__).parent / "demo" / "fluid.toml"
SIZES = (
    "0.1", "0.123", "0.337", "0.9999", "1", "2.5", "3.141592", "7", "12.345", "33.333", "50",
    "61.7", "99.999", "123.456789", "250", "333.333", "512.25", "777.7", "999.999999", "1000",
)  # fmt: skip


def run(*arguments: object) -> Result:
    return CliRunner().invoke(application, ["batch", *(str(a) for a in arguments)])


def printed(*arguments: object) -> dict[str, Any]:
    found = run(*arguments, "--json")
    assert found.exit_code == 0, found.output + found.stderr
    made: dict[str, Any] = json.loads(found.stdout)
    return made


@pytest.mark.parametrize("kg", SIZES)
@pytest.mark.parametrize("balance", [(), ("--balance-g", "0.01")], ids=["usual", "one"])
def test_weights_sum_to_the_batch(kg: str, balance: tuple[str, ...]) -> None:
    made = printed(FLUID, "--kg", kg, *balance)
    masses = [item["mass_g"] for item in made["items"]]
    wanted = Decimal(kg) * 1000
    assert sum(Decimal(str(mass)) for mass in masses) == wanted
    assert round(math.fsum(masses), 9) == float(wanted)
    assert sum(masses) == pytest.approx(float(wanted), abs=1e-6)
    assert min(masses) > 0
    assert {"phase", "material", "mass_g"} <= set(made["items"][0])


def test_fifty_kilograms_sum_exactly_however_they_are_added() -> None:
    masses = [item["mass_g"] for item in printed(FLUID, "--kg", 50)["items"]]
    assert sum(masses) == math.fsum(masses) == sum(reversed(masses)) == 50000


def test_the_zinc_oxide_of_fifty_kilograms() -> None:
    # 18 % of 50 kg by hand
    item = printed(FLUID, "--kg", 50)["items"][0]
    assert item["mass_g"] == 9000
    assert (item["low_g"], item["high_g"]) == (8955, 9045)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("--kg", "0.05"), "batch size is 0.05, expected a number from 0.1 to 1000 kg"),
        (("--kg", "1001"), "batch size is 1001, expected a number from 0.1 to 1000 kg"),
        (("--kg", "33,3"), "(write 33.3)"),
        (("--kg", "nan"), "expected a number from 0.1 to 1000 kg"),
        (("--kg", "0.33333333333"), "at most 9 decimals of a kg"),
        (("--kg", "5", "--balance-g", "3"), "expected the step of a balance"),
        (("--kg", "0.1", "--balance-g", "100"), "rounds to nothing on a balance of 100 g"),
        (("--kg", "5", "--tolerance", "0"), "tolerance is 0 %, expected 0.01 to 10 %"),
        (("--kg", "5", "--density", "1200"), "reference density is 1200"),
        (("--kg", "5", "--filled", "none.toml"), "none.toml: no such file"),
        (("--kg", "5", "--template", "no/such/folder.toml"), "cannot be written"),
        ((), "--kg"),
    ],
)
def test_bad_input_is_one_sentence(arguments: tuple[str, ...], message: str) -> None:
    found = run(FLUID, *arguments)
    assert found.exit_code == 2
    assert message in found.stderr
    assert found.stderr.count("\n") == 1
    assert "Traceback" not in found.stderr


def test_a_template_is_filled_in_and_reviewed(tmp_path: Path) -> None:
    file = formula_file(tmp_path)
    record = tmp_path / "record.toml"
    assert run(file, "--kg", 50, "--template", record).exit_code == 0
    again = run(file, "--kg", 50, "--template", record)
    assert again.exit_code == 2
    assert "--force to replace it" in again.stderr
    assert run(file, "--kg", 50, "--template", record, "--force").exit_code == 0
    empty = run(file, "--kg", 50, "--filled", record)
    assert empty.exit_code == 0
    assert "OPEN" in empty.stdout
    text = record.read_text("utf-8").replace('actual_g = ""', "actual_g = 1", 1)
    record.write_text(text, "utf-8")
    outside = run(file, "--kg", 50, "--filled", record, "--json")
    assert outside.exit_code == 1
    review = json.loads(outside.stdout)["review"]
    assert review["verdict"] == "fails"
    assert review["findings"][2]["where"] == "item 1"
    assert run(file, "--kg", 49, "--filled", record).exit_code == 2


@pytest.mark.parametrize("role", ["formula", "filled"])
def test_a_template_never_replaces_what_is_read(tmp_path: Path, role: str) -> None:
    file = formula_file(tmp_path)
    before = file.read_text("utf-8")
    more = ("--filled", file) if role == "filled" else ()
    found = run(file, "--kg", 5, "--template", file, "--force", *more)
    assert found.exit_code == 2
    assert "expected a new name" in found.stderr
    assert file.read_text("utf-8") == before


def test_lines_fit_and_say_what_is_assumed() -> None:
    for arguments in (("--kg", 50), ("--kg", 333.333), ("--kg", 50, "--balance-g", 10)):
        text = run(FLUID, *arguments).stdout
        assert max(len(line) for line in text.splitlines()) <= 100
        assert "common practice" in text
        assert "ISO 22716" in text
        assert "must not be inhaled" in text


def page_of(tmp_path: Path, *arguments: object) -> str:
    file = tmp_path / "page.html"
    found = run(*arguments, "--html", file)
    assert found.exit_code == 0, found.stderr
    return file.read_text("utf-8")


def test_the_page_needs_nothing_from_outside(tmp_path: Path) -> None:
    page = page_of(tmp_path, FLUID, "--kg", 50)
    assert not re.findall(r"(?:src|srcset|action|poster)\s*=", page)
    assert set(re.findall(r'href="([^"#]*)', page)) == {"data:,"}
    assert "<script" not in page
    assert "url(" not in page
    assert "http" not in page


def test_the_page_shows_every_weight_and_section(tmp_path: Path) -> None:
    page = unescape(page_of(tmp_path, FLUID, "--kg", 50, "--batch-number", "26-114"))
    for item in printed(FLUID, "--kg", 50)["items"]:
        assert item["material"] in page
        in_kg = item["balance_g"] >= 1
        shown = f"{item['mass_g'] / 1000:.3f}\u00a0kg" if in_kg else f"{item['mass_g']:.1f}\u00a0g"
        assert shown in page
    assert "26-114" in page
    for heading in ("Line clearance", "Weighing list", "Process and hold points", "Deviations",
                    "Samples", "Yield", "Release"):  # fmt: skip
        assert heading in page
    assert page.count('class="tick"') >= 9
    assert "@page" in page


def test_names_cannot_become_markup(tmp_path: Path) -> None:
    page = page_of(tmp_path, FLUID, "--kg", 50, "--batch-number", "<script>x</script>")
    assert "<script" not in page
    assert "&lt;script&gt;" in page


def test_help_is_quick_to_start() -> None:
    program = (
        "import sys; sys.argv = ['zincite', 'batch', '--help']\n"
        "from zincite.interfaces.cli.main import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "print('numpy' in sys.modules, 'rich' in sys.modules)"
    )
    made = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert made.stdout.splitlines()[-1] == "False False"
