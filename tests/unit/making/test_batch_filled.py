"""A filled record: what it says, what is outside, what is open, and files that do not fit."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from batch_formulas import lotion

from zincite.errors import InputError
from zincite.evaluation.making.batch.record_review import RecordReview
from zincite.workbench.making.batch import batch_template, make_batch, review_batch

REPORT = make_batch(lotion(), 2)
RECORD = REPORT.result
EMPTY = batch_template(REPORT)
FIELDS = {
    "batch_number": '"26-114"', "made_on": "2026-11-25", "made_by": '"A. Muster"',
    "clearance_by": '"B. Probe"', "yield_kg": "1.95", "released_by": '"C. Frei"',
    "lot": '"L-1"', "expires_on": "2027-01-31", "done_by": '"A. Muster"',
    "checked_by": '"B. Probe"', "grind_um": "11", "lumps": '"none"', "phase_P_C": "44",
    "phase_O_C": "44", "phase_W_C": "46", "appearance": '"as standard"', "ph": "7.6",
    "viscosity_mPas": "21000", "density_g_ml": "1.20", "zinc_oxide_percent": "19.3",
    "microbiology": '"below 10 cfu/g"', "yield_low_percent": "95", "yield_high_percent": "101",
}  # fmt: skip


def filled(text: str = EMPTY) -> str:
    """Return the template with every field written in, weights and settings as set."""
    target = ""
    lines = []
    for line in text.splitlines():
        key = line.split(" = ")[0].strip('"')
        if key == "target_g":
            target = line.split(" = ")[1]
        if key in FIELDS and ' = ""' in line:
            line = f"{key} = {FIELDS[key]}"
        if key == "actual_g":
            line = f"actual_g = {target}"
        wanted = re.search(r"# set ([\d.]+)", line)
        if wanted:
            line = f"{key} = {wanted[1]}"
        lines.append(line)
    return "\n".join(lines) + "\n"


GOOD = filled()


@pytest.fixture
def review(tmp_path: Path) -> Callable[[str], RecordReview]:
    def made(text: str) -> RecordReview:
        path = tmp_path / "record.toml"
        path.write_text(text, "utf-8")
        found = review_batch(REPORT, path).result.review
        assert found is not None
        return found

    return made


def changed(old: str, new: str, *, count: int = 1) -> str:
    assert old in GOOD
    return GOOD.replace(old, new, count)


def test_a_complete_record_passes(review: Callable[[str], RecordReview]) -> None:
    found = review(GOOD)
    predicted = [f for f in found.findings if f.kind == "note"]
    assert found.verdict == "passes", found.findings
    assert all("predicted, no limit" in f.text for f in predicted)
    assert found.weighed_g == pytest.approx(2000)
    assert found.yield_percent == pytest.approx(97.5)  # 1.95 of 2 kg


def test_an_empty_template_is_read_and_all_open(review: Callable[[str], RecordReview]) -> None:
    found = review(EMPTY)
    assert found.verdict == "short"
    assert found.weighed_g is None
    open_at = {f.where for f in found.open}
    assert {f"item {i.number}" for i in RECORD.weighing.items} <= open_at
    assert {f"hold {hold.key}" for hold in RECORD.holds} <= open_at
    assert {f"step {step.number}" for step in RECORD.steps} <= open_at
    assert {"record", "yield", "release"} <= open_at


def test_the_edge_of_a_weight_is_inside_and_the_next_step_outside(
    review: Callable[[str], RecordReview],
) -> None:
    item = RECORD.weighing.items[0]
    edge = changed(f"actual_g = {item.mass_g}", f"actual_g = {item.high_g}")
    assert not review(edge).outside
    over = item.high_g + item.balance.resolution_g
    found = review(changed(f"actual_g = {item.mass_g}", f"actual_g = {over}")).outside
    assert [f.where for f in found] == ["item 1", "release"]
    assert f"expected {item.low_g} to {item.high_g} g" in found[0].text


def test_a_decided_deviation_covers_what_is_outside(
    review: Callable[[str], RecordReview],
) -> None:
    heavy = changed("actual_g = 400.00", "actual_g = 410.00")
    entry = '[[deviation]]\nwhat = "too much"\nwhen = 2026-11-25\nwho = "A. Muster"\nitem = 1\n'
    undecided = review(heavy + entry)
    assert undecided.verdict == "fails"
    assert "no decision" in [f.text for f in undecided.open]
    decided = review(heavy + entry + 'decision = "use, C. Frei"\n')
    assert decided.verdict == "passes", decided.findings
    assert [f.deviation for f in decided.findings if f.kind == "outside"] == [1]
    other = review(heavy + entry.replace("item = 1", "item = 2") + 'decision = "use"\n')
    assert other.verdict == "fails"


def test_missing_and_expired_lots(review: Callable[[str], RecordReview]) -> None:
    without = review(changed('lot = "L-1"', 'lot = ""')).open
    assert any("no lot" in f.text for f in without)
    old = review(changed("expires_on = 2027-01-31", "expires_on = 2026-11-24")).outside
    assert "lot L-1 expired on 2026-11-24" in old[0].text
    # the last day counts as within
    assert not review(changed("expires_on = 2027-01-31", "expires_on = 2026-11-25")).outside
    undated = review(changed("made_on = 2026-11-25", 'made_on = ""')).open
    assert any("expiry not judged" in f.text for f in undated)


def test_two_people_sign(review: Callable[[str], RecordReview]) -> None:
    found = review(changed('checked_by = "B. Probe"', 'checked_by = "a. muster"')).open
    assert any("same person" in f.text for f in found)


def test_a_coarse_grind_holds_the_batch(review: Callable[[str], RecordReview]) -> None:
    # Hegman 7 is 12.7 um and 6.5 is 19.05 um (trade relation R34)
    by_number = GOOD.replace("grind_um = 11", 'grind_um = ""')
    assert not review(by_number.replace('hegman = ""', "hegman = 7")).outside
    found = review(by_number.replace('hegman = ""', "hegman = 6.5")).outside
    assert found[0].where == "hold grind"
    assert "19.05" in found[0].text


def test_a_predicted_density_decides_nothing(review: Callable[[str], RecordReview]) -> None:
    found = review(changed("density_g_ml = 1.20", "density_g_ml = 0.9"))
    assert found.verdict == "passes"
    assert any("predicted, no limit" in f.text for f in found.findings)


def test_set_points_and_yield_outside(review: Callable[[str], RecordReview]) -> None:
    slow = review(changed("tip_speed_m_s = 20", "tip_speed_m_s = 17")).outside
    assert slow[0].text == "tip_speed_m_s was 17, expected 18 to 22"
    lost = review(changed("yield_kg = 1.95", "yield_kg = 1.8")).outside
    assert lost[0].text == "90.00 %, expected 95 % to 101 %"


def test_release_over_open_points_is_outside(review: Callable[[str], RecordReview]) -> None:
    found = review(changed('lot = "L-1"', 'lot = ""'))
    assert [f.where for f in found.outside] == ["release"]


BAD: dict[str, tuple[str, str, str]] = {
    "other formula": ('formula = "B-1"', 'formula = "B-2"', "formula is 'B-2', expected 'B-1'"),
    "other size": ("batch_kg = 2", "batch_kg = 3", "batch_kg is 3, expected 2"),
    "other target": ("target_g = 400.00", "target_g = 401.00", "written for another formula"),
    "other material": ('"squalane"', '"glycerin"', "expected 'squalane' as item"),
    "weight in words": ("actual_g = 400.00", 'actual_g = "much"', "expected a number from 0"),
    "negative weight": ("actual_g = 400.00", "actual_g = -4", "expected a number from 0"),
    "decimal comma": ("actual_g = 400.00", 'actual_g = "400,5"', "write 400.5"),
    "no date": ("made_on = 2026-11-25", 'made_on = "yesterday"', "expected a date such as"),
    "unknown key": ('lot = "L-1"', 'lott = "L-1"', "expected 'lot'?"),
    "no such item": ("item = 2", "item = 99", "item is '99', expected one of 1, 2"),
    "item twice": ("item = 2", "item = 1", "item = 1 stands twice"),
    "no such step": ("number = 1", "number = 8", "expected one of 1, 2, 3, 4, 5"),
    "no such hold": ('name = "grind"', 'name = "grid"', "expected one of grind, temperatures"),
    "list as item": ("item = 2", "item = [2]", "item is '[2]', expected one of"),
    "limits upside down": ("yield_low_percent = 95", "yield_low_percent = 105", "is above"),
    "grind twice": ('hegman = ""', "hegman = 7", "both grind_um and hegman"),
    "off the gauge": ('hegman = ""', "hegman = 9", "expected a number from 0 to 8"),
    "no toml": ("[record]", "[record", "not valid TOML"),
}


@pytest.mark.parametrize("name", BAD)
def test_files_that_do_not_fit(name: str, review: Callable[[str], RecordReview]) -> None:
    old, new, message = BAD[name]
    with pytest.raises(InputError) as caught:
        review(changed(old, new))
    assert message in str(caught.value)
    assert "record.toml" in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ("[[deviation]]\n", "has no what"),
        ('[[deviation]]\nwhat = "x"\nitem = 77\n', "item is '77', expected one of"),
        ('[[deviation]]\nwhat = "x"\nhold = "lunch"\n', "hold is 'lunch', expected one of"),
        ('[[deviation]]\nwhat = "x"\nwhy = "y"\n', "unknown key 'why'"),
    ],
)
def test_deviations_that_do_not_fit(
    entry: str, message: str, review: Callable[[str], RecordReview]
) -> None:
    with pytest.raises(InputError, match=re.escape(message)):
        review(GOOD + entry)


def test_a_file_without_record_is_refused(review: Callable[[str], RecordReview]) -> None:
    with pytest.raises(InputError, match=r"has no \[record\], expected a table"):
        review("[[weighing]]\nitem = 1\n")
