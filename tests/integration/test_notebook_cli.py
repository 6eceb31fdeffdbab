"""`zincite notebook`, `trial`, `material`: entering, showing, refusing, exit statuses, widths."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

import zincite.data
from zincite.interfaces.cli.app import application
from zincite.notebook.store import open_notebook
from zincite.notebook.verifying import verify

DEMO = Path(zincite.data.__file__).parent / "demo"
EXAMPLES = Path(__file__).parents[2] / "examples" / "assay"
GRADE = "trial-zinc-oxide-70-silane"


class Lab:
    """A notebook and the command line that works on it."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.env = {"ZINCITE_NOTEBOOK": str(path), "ZINCITE_WHO": "A. Example"}

    def run(self, *arguments: object, status: int = 0) -> Result:
        found = CliRunner().invoke(application, [str(a) for a in arguments], env=self.env)
        assert found.exit_code == status, found.output + found.stderr
        assert "Traceback" not in found.output + found.stderr
        return found

    def json(self, *arguments: object, status: int = 0) -> Any:
        return json.loads(self.run(*arguments, "--json", status=status).stdout)

    def refused(self, *arguments: object) -> str:
        found = self.run(*arguments, status=2)
        assert found.stdout == ""
        assert found.stderr.count("\n") == 1
        return found.stderr.removeprefix("zincite: ").strip()


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a notebook with a project, two versions, a lot, a trial and a result."""
    folder = tmp_path_factory.mktemp("lab")
    lab = Lab(folder / "lab.zincite")
    lab.run("notebook", "create", lab.path)
    lab.run("notebook", "project", "FLUID", "--name", "Invented fluid")
    lab.run("notebook", "add", DEMO / "fluid.toml", "--project", "FLUID", "--predict")
    lab.run("notebook", "add", changed(folder), "--project", "FLUID", "--reason", "less white cast")
    lab.run("material", "lot", GRADE, "Z-1", "--expires", "2026-01-31")
    lab.run("trial", "add", "OF-4@1", "--kg", 1, "--lot", f"{GRADE}=Z-1", "--made-on",
            "2026-02-02")  # fmt: skip
    lab.run("trial", "result", "T-001", "spf", EXAMPLES / "spf.csv", "--measured-on", "2026-02-09")
    return lab.path


@pytest.fixture
def lab(filled: Path, tmp_path: Path) -> Lab:
    """Return the filled notebook in a folder of its own."""
    return Lab(Path(shutil.copy(filled, tmp_path / "lab.zincite")))


def changed(folder: Path) -> Path:
    text = (DEMO / "fluid.toml").read_text("utf-8").replace("percent = 18\n", "percent = 17\n")
    shutil.copy(DEMO / "brief.toml", folder)
    path = folder / "fluid.toml"
    path.write_text(text, "utf-8")
    return path


def test_what_was_entered_is_chained(lab: Lab) -> None:
    with open_notebook(lab.path) as notebook:
        assert verify(notebook).holds
        assert notebook.head()[1] == lab.json("notebook", "history")["head_hash"]


SHOWN = (
    ("notebook", "show", "FLUID"),
    ("notebook", "show", "FLUID/1"),
    ("notebook", "show", "OF-4"),
    ("notebook", "show", "OF-4@1"),
    ("notebook", "show", "OF-4@1/1"),
    ("notebook", "show", "T-001/1"),
    ("notebook", "show", "Z-1"),
    ("trial", "show", "T-001"),
    ("material", "show", GRADE),
    ("material", "list"),
    ("material", "lots", "--expired"),
    ("trial", "list"),
    ("notebook", "history"),
    ("notebook", "history", "OF-4"),
    *(("notebook", "list", noun) for noun in
      ("formulas", "trials", "lots", "materials", "projects", "results", "decisions")),
)  # fmt: skip


@pytest.mark.parametrize("arguments", SHOWN, ids=" ".join)
def test_everything_shows_in_100_columns_and_as_json(lab: Lab, arguments: tuple[str, ...]) -> None:
    text = lab.run(*arguments).stdout
    assert text.strip()
    assert max(map(len, text.splitlines())) <= 100
    assert not any(line != line.rstrip() for line in text.splitlines())
    assert isinstance(lab.json(*arguments), dict)


def test_a_version_shows_its_lineage_trials_and_predictions(lab: Lab) -> None:
    found = lab.json("notebook", "show", "OF-4@2")
    assert (found["noun"], found["formula"]["parent"]) == ("formula", "OF-4@1")
    assert found["formula"]["reason"] == "less white cast"
    assert found["entered_by"] == "A. Example"
    first = lab.json("notebook", "show", "OF-4@1")
    assert [t["code"] for t in first["trials"]] == ["T-001"]
    assert [p["called"] for p in first["predictions"]] == ["OF-4@1/1"]
    assert [a["name"] for a in first["attachments"]] == ["fluid.toml"]
    shown = {v["quantity"]: v for v in first["predictions"][0]["values"]}
    made = json.loads(
        CliRunner().invoke(application, ["predict", str(DEMO / "fluid.toml"), "--json"]).stdout
    )
    assert shown["spf"]["median"] == made["spf"]["median"]
    assert shown["cost_per_kg"]["unit"] == "EUR/kg"
    assert shown["delta_e00 dark"]["high"] == made["white_cast"]["dark"]["delta_e00"]["high"]


def test_the_stored_text_is_a_formula_file_of_its_own(lab: Lab, tmp_path: Path) -> None:
    text = lab.run("notebook", "show", "OF-4@1", "--toml").stdout
    alone = tmp_path / "alone" / "stored.toml"
    alone.parent.mkdir()
    alone.write_text(text, "utf-8")
    stored = json.loads(CliRunner().invoke(application, ["check", str(alone), "--json"]).stdout)
    typed = json.loads(
        CliRunner().invoke(application, ["check", str(DEMO / "fluid.toml"), "--json"]).stdout
    )
    assert stored == typed


def test_a_raw_file_comes_back_byte_for_byte(lab: Lab, tmp_path: Path) -> None:
    out = tmp_path / "back.csv"
    lab.run("notebook", "show", "T-001/1", "--save", out)
    assert out.read_bytes() == (EXAMPLES / "spf.csv").read_bytes()
    assert "is there already" in lab.refused("notebook", "show", "T-001/1", "--save", out)
    assert "has no kept file" in lab.refused("notebook", "show", "T-001", "--save", tmp_path / "x")


def test_a_result_is_what_the_assay_says(lab: Lab) -> None:
    said = json.loads(
        CliRunner()
        .invoke(application, ["assay", "spf", str(EXAMPLES / "spf.csv"), "--json"])
        .stdout
    )
    kept = lab.json("notebook", "show", "T-001/1")["result"]
    assert kept["evaluation"] == said
    assert kept["values"] == [
        {"quantity": "spf", "value": said["mean_spf"], "low": said["ci95_low"],
         "high": said["ci95_high"], "unit": ""}
    ]  # fmt: skip
    assert (kept["measured_on"], kept["method"]) == ("2026-02-09", said["method"])


def test_plates_are_kept_with_both_files(lab: Lab) -> None:
    made = lab.json(
        "trial", "result", "T-001", "uva", EXAMPLES / "uva_before.csv", "--after",
        EXAMPLES / "uva_after.csv", "--label-spf", 30,
    )  # fmt: skip
    assert made["result"]["called"] == "T-001/2"
    shown = lab.json("notebook", "show", "T-001/2")
    assert [a["name"] for a in shown["attachments"]] == ["uva_after.csv"]
    assert shown["result"]["file_name"] == "uva_before.csv"
    assert shown["result"]["valid"]


def test_a_test_that_is_not_valid_is_kept_and_says_so(lab: Lab) -> None:
    made = lab.json(
        "trial", "result", "T-001", "uva", EXAMPLES / "uva_before.csv", "--label-spf", 30, status=1
    )
    assert not made["result"]["valid"]
    assert any(note.startswith("not valid: ") for note in made["notes"])
    assert "not valid" in lab.run("notebook", "list", "results").stdout


def test_a_missed_limit_is_kept_and_says_so(lab: Lab) -> None:
    made = lab.json(
        "trial", "result", "T-001", "colour", EXAMPLES / "colour.csv", "--max-delta-e00", 3,
        status=1,
    )  # fmt: skip
    assert made["result"]["valid"]
    assert any("at most 3 asked" in note for note in made["notes"])


def test_plain_readings_are_kept_in_one_unit(lab: Lab) -> None:
    made = lab.json("trial", "value", "T-001", "viscosity", "12.5", "Pa s")
    assert made["result"]["values"][0]["value"] == 12500
    assert lab.json("trial", "value", "T-001", "shift", "-3")["result"]["values"][0]["value"] == -3
    assert "expected a number" in lab.refused("trial", "value", "T-001", "ph", "sour")


def test_an_expired_lot_warns_and_is_kept(lab: Lab) -> None:
    made = lab.json("trial", "add", "OF-4", "--kg", 1, "--lot", f"{GRADE}=Z-1", "--made-on",
                    "2026-02-01")  # fmt: skip
    assert made["notes"] == ["lot Z-1 had expired on 2026-01-31"]
    in_time = lab.json("trial", "add", "OF-4", "--kg", 1, "--lot", f"{GRADE}=Z-1", "--made-on",
                       "2026-01-31")  # fmt: skip
    assert in_time["notes"] == []
    weights = {w["material_key"]: w for w in made["trial"]["weights"]}
    assert weights[GRADE]["lot"] == "Z-1"
    assert weights[GRADE]["target_g"] == pytest.approx(170.0)
    assert sum(w["target_g"] for w in weights.values()) == pytest.approx(1000.0)


def filled_record(lab: Lab, folder: Path) -> Path:
    """Return a record of 2 kg, filled in: the first weight 5 g too much, one reading."""
    template = folder / "record.toml"
    lab.run("batch", "OF-4@1", "--notebook", lab.path, "--kg", 2, "--template", template)
    text = template.read_text("utf-8")
    text = text.replace('batch_number = ""', 'batch_number = "B-17"')
    text = text.replace('made_on = ""', "made_on = 2026-03-04")
    text = text.replace('made_by = ""', 'made_by = "B. Example"')
    numbers = iter(range(1, 100))

    def fill(match: re.Match[str]) -> str:
        number = next(numbers)
        actual = float(match[1]) + (5 if number == 1 else 0)
        return (
            f'target_g = {match[1]}\nlot = "N-{number}"\nexpires_on = 2027-05-01\n'
            f"actual_g = {actual}"
        )

    pattern = r'target_g = ([\d.]+)\nlot = ""\nexpires_on = ""\nactual_g = ""'
    text = re.sub(pattern, fill, text)
    text = text.replace('viscosity_mPas = ""', "viscosity_mPas = 12800")
    text = text.replace('tip_speed_m_s = ""', "tip_speed_m_s = 17", 1)
    text += '\n[[deviation]]\nwhat = "too much zinc oxide"\ndecision = "accepted"\nitem = 1\n'
    template.write_text(text, "utf-8")
    return template


def test_a_filled_record_becomes_a_trial(lab: Lab, tmp_path: Path) -> None:
    record = filled_record(lab, tmp_path)
    made = lab.json("trial", "add", "OF-4@1", "--kg", 2, "--filled", record)
    trial = made["trial"]
    assert (trial["code"], trial["made_on"], trial["made_by"]) == (
        "B-17", "2026-03-04", "B. Example",
    )  # fmt: skip
    first = trial["weights"][0]
    assert (first["lot"], first["actual_g"]) == ("N-1", first["target_g"] + 5)
    assert trial["deviations"] == [{"what": "item 1: too much zinc oxide", "decision": "accepted"}]
    assert any("item 1" in note and "expected" in note for note in made["notes"])
    assert "tip_speed_m_s 17" in trial["process"].splitlines()[0]
    lots = [item for item in made["also"] if item["noun"] == "lot"]
    assert [item["lot"]["code"] for item in lots] == [
        f"N-{n}" for n in range(1, len(trial["weights"]) + 1)
    ]
    assert lots[0]["lot"]["expires_on"] == "2027-05-01"
    (result,) = [item["result"] for item in made["also"] if item["noun"] == "result"]
    assert (result["kind"], result["values"][0]["value"]) == ("in-process", 12800)
    shown = lab.json("trial", "show", "B-17")
    assert [a["name"] for a in shown["attachments"]] == ["record.toml"]
    assert "B-17 is there already" in lab.refused(
        "trial", "add", "OF-4@1", "--kg", 2, "--filled", record
    )
    assert "batch_kg is 2, expected 3" in lab.refused(
        "trial", "add", "OF-4@1", "--kg", 3, "--filled", record
    )


def test_a_stored_version_is_predicted_and_kept_once(lab: Lab) -> None:
    first = lab.json("predict", "OF-4@2", "--notebook", lab.path)
    assert first["kept"]["called"] == "OF-4@2/1"
    assert first["kept"]["new"]
    again = lab.json("predict", "OF-4@2", "--notebook", lab.path)
    assert again["kept"] == {**first["kept"], "new": False}
    assert again["spf"] == first["spf"]
    events = lab.json("notebook", "history")["events"]
    assert "kept already as OF-4@2/1" in lab.run("predict", "OF-4", "--notebook", lab.path).stdout
    assert lab.json("notebook", "history")["events"] == events


def test_withdrawing_deciding_and_commenting(lab: Lab, tmp_path: Path) -> None:
    lab.run("notebook", "decide", "trial", "T-001", "go on", "--reason", "SPF as hoped")
    assert "trial T-001" in lab.run("notebook", "list", "decisions").stdout
    lab.run("notebook", "comment", "lot", "Z-1", "smells of ester")
    note = tmp_path / "note.txt"
    note.write_text("seen", "utf-8")
    kept = lab.json("notebook", "attach", "result", "T-001/1", note)
    assert kept["about"] == "result T-001/1"
    out = lab.run("notebook", "withdraw", "formula", "OF-4@2", "--reason", "typed wrong").stdout
    assert "WITHDRAWN  typed wrong" in out
    assert "withdrawn formula OF-4@2" in lab.run("notebook", "history").stdout
    assert lab.refused("trial", "add", "OF-4@2", "--kg", 1) == (
        "formula OF-4@2 is withdrawn (typed wrong), expected one that stands"
    )
    assert lab.json("notebook", "show", "OF-4")["formula"]["called"] == "OF-4@1"
    lab.run("predict", "OF-4@2", "--notebook", lab.path, status=2)


def test_a_lot_keeps_its_certificate(lab: Lab) -> None:
    made = lab.json(
        "material", "lot", "glycerin", "G-1", "--supplier", "Invented", "--received", "2026-01-05",
        "--value", "loss on drying=0.3 %", "--value", "look=clear, colourless",
    )  # fmt: skip
    assert made["lot"]["values"] == [
        {"quantity": "loss on drying", "value": 0.3, "unit": "%", "text": ""},
        {"quantity": "look", "value": None, "unit": "", "text": "clear, colourless"},
    ]
    assert [found["code"] for found in lab.json("material", "lots", "glycerin")["lots"]] == ["G-1"]


def test_cards_are_entered_in_versions(lab: Lab, tmp_path: Path) -> None:
    card = tmp_path / "card.toml"
    card.write_text(lab.run("notebook", "show", f"{GRADE}@1", "--toml").stdout, "utf-8")
    assert "the same as" in lab.refused("material", "add", card)
    card.write_text(card.read_text("utf-8").replace("= 2.5", "= 3.0"), "utf-8")
    assert "expected what changed since" in lab.refused("material", "add", card)
    made = lab.json("material", "add", card, "--reason", "supplier's new coating")
    assert made["materials"][0]["material"]["called"] == f"{GRADE}@2"
    assert [m["called"] for m in lab.json("material", "show", GRADE)["versions"]] == [f"{GRADE}@1"]


REFUSED: tuple[tuple[tuple[object, ...], str], ...] = (
    (("notebook", "add", DEMO / "fluid.toml", "--project", "FLUID"), "OF-4: the reason is empty"),
    (("notebook", "add", DEMO / "fluid.toml", "--project", "X"), "no project is called 'X'"),
    (("notebook", "add", "no.toml", "--project", "FLUID"), "no.toml: no such file"),
    (("notebook", "project", "FLUID"), "project FLUID is there already"),
    (("notebook", "show", "nothing"), "nothing is called 'nothing'"),
    (("notebook", "show", "OF-4", "--noun", "recipe"), "'recipe' is no noun"),
    (("notebook", "show", "T-001", "--toml"), "trial T-001 is no text"),
    (("notebook", "history", "nothing"), "nothing is called 'nothing'"),
    (("notebook", "list", "recipes"), "expected"),
    (("notebook", "decide", "trial", "T-001", "maybe", "--reason", "x"), "verdict is 'maybe'"),
    (("notebook", "decide", "trial", "T-001", "fix"), "--reason TEXT is missing"),
    (("notebook", "withdraw", "trial", "T-001", "--reason", " "), "no reason given"),
    (("notebook", "comment", "trial", "T-009", "x"), "no trial is called 'T-009'"),
    (("notebook", "attach", "trial", "T-001", "no.txt"), "no.txt: no such file"),
    (("notebook", "attach", "trial", "T-001", "."), "is no ordinary file"),
    (("trial", "add", "OF-9", "--kg", "1"), "no formula is called 'OF-9'"),
    (("trial", "add", "OF-4", "--kg", "much"), "the batch is 'much', expected a number of kg"),
    (("trial", "add", "OF-4", "--kg", "-1"), "has -1 kg, expected more than 0 kg"),
    (("trial", "add", "OF-4", "--kg", "1", "--lot", "water"), "--lot is 'water', expected"),
    (("trial", "add", "OF-4", "--kg", "1", "--lot", "watr=L"), "such as water"),
    (("trial", "add", "OF-4", "--kg", "1", "--lot", "water=L"), "no lot is called 'L'"),
    (("trial", "add", "OF-4", "--kg", "1", "--made-on", "May"), "made on is 'May', expected"),
    (("trial", "add", "OF-4", "--kg", "1", "--filled", "no.toml"), "no.toml: no such file"),
    (("trial", "result", "T-001", "taste", "x.csv"), "the kind of result is 'taste'"),
    (("trial", "result", "T-001", "spf", "no.csv"), "no.csv: no such file"),
    (("trial", "result", "T-009", "spf", EXAMPLES / "spf.csv"), "no trial is called 'T-009'"),
    (
        ("trial", "result", "T-001", "uva", EXAMPLES / "uva_before.csv"),
        "assay uva: --label-spf SPF is missing",
    ),
    (
        ("trial", "result", "T-001", "uva", "--label-spf", "30", EXAMPLES / "uva_before.csv"),
        "FILE is '--label-spf', expected the file behind KIND",
    ),
    (
        ("trial", "result", "T-001", "spf", EXAMPLES / "spf.csv", "--html", "page.html"),
        "--html is an option of `zincite assay spf`",
    ),
    (("trial", "value", "T-001", "viscosity", "12", "kg"), "viscosity has the unit 'kg'"),
    (("material", "lot", "glycerin", "Z-1"), "lot Z-1 is there already"),
    (("material", "lot", "no-such", "N-1"), "no material is called 'no-such'"),
    (("material", "lot", "glycerin", "N-1", "--value", "look"), "--value is 'look', expected"),
    (("material", "show", "glycerin"), "no material is called 'glycerin'"),
    (("predict", "OF-4", "--notebook", "no.zincite"), "no.zincite: there is no such notebook"),
    (("batch", "OF-9", "--kg", "1", "--notebook", "no.zincite"), "there is no such notebook"),
)


@pytest.mark.parametrize(("arguments", "said"), REFUSED, ids=lambda found: str(found)[:60])
def test_bad_input_is_one_sentence_and_changes_nothing(
    lab: Lab, arguments: tuple[object, ...], said: str
) -> None:
    events = lab.json("notebook", "history")["events"]
    assert said in lab.refused(*arguments)
    assert lab.json("notebook", "history")["events"] == events


def test_without_a_notebook_it_says_how_to_name_one() -> None:
    for command in (("notebook", "list"), ("trial", "list"), ("material", "list")):
        found = CliRunner().invoke(application, command, env={"ZINCITE_NOTEBOOK": ""})
        assert found.exit_code == 2
        assert "expected --notebook FILE_OR_URL or the environment variable" in found.stderr


def test_two_things_of_one_code_ask_for_the_noun(lab: Lab) -> None:
    lab.run("notebook", "project", "Z-1")
    said = lab.refused("notebook", "show", "Z-1")
    assert said == "a project and a lot are called 'Z-1', expected --noun to say which"
    assert lab.json("notebook", "show", "Z-1", "--noun", "lot")["lot"]["code"] == "Z-1"


def test_without_a_name_nothing_is_written(lab: Lab) -> None:
    lab.env["ZINCITE_WHO"] = " "
    assert "nobody is named as writer" in lab.refused("notebook", "project", "NEW")
