"""Indicators of feel against the numbers of the trade relations."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from zincite.evaluation.making.emulsions.feel import FeelOutlook, judge_feel
from zincite.formula.reading import load_formula

sys.path.insert(0, str(Path(__file__).parent))
from emulsions import write_formula

SILICA = """
[[material]]
id = "thirsty-silica"
inci = "Silica"
functions = ["texturiser"]
phase = "pigment"
oil_absorption_g_100g = { value = 150, evidence = "measured", source = "test" }
"""


def judged(folder: Path, *oil: tuple[str, float | str], more: str = "") -> FeelOutlook:
    return judge_feel(load_formula(write_formula(folder, "anhydrous", oil, more=more)))


def test_classes_of_r53(tmp_path: Path) -> None:
    """Dicaprylyl ether 1600 is fast; the group of about 700 (S16) is medium."""
    found = judged(tmp_path, ("dicaprylyl-ether", 40), ("hexyldecanol", 60))
    assert [(o.inci, o.spread_class) for o in found.oils] == [
        ("Dicaprylyl Ether", "fast"), ("Hexyldecanol", "medium"),
    ]  # fmt: skip
    assert found.class_percent == {"fast": 40, "medium": 60, "slow": 0, "": 0}
    assert found.verdict == "short"
    assert found.missing_classes == ("slow",)


def test_a_whole_cascade_passes_and_a_gap_may_hide_in_what_is_not_known(tmp_path: Path) -> None:
    slow = """
[[material]]
id = "slow-oil"
inci = "Slow Oil"
functions = ["emollient"]
spreading_mm2_10min = { value = 200, evidence = "measured", source = "test" }
"""
    oils = (("dicaprylyl-ether", 30), ("hexyldecanol", 30))
    assert judged(tmp_path, *oils, ("slow-oil", 40), more=slow).verdict == "passes"
    hidden = judged(tmp_path, *oils, ("squalane", 40))
    assert hidden.verdict == "unknown"
    assert hidden.known_percent == pytest.approx(60)


def test_silica_binds_the_oil_of_r55(tmp_path: Path) -> None:
    """1 % silica with an oil absorption of 150 g/100 g binds 1.5 % oil."""
    free = judged(tmp_path, ("thirsty-silica", 1), ("hexyldecanol", 99), more=SILICA).free_oil
    assert free.held_percent == pytest.approx(1.5)
    assert free.free_percent == pytest.approx(97.5)
    assert free.tendency == "oily"


def test_oil_below_the_powders_capacity_tends_to_dry(tmp_path: Path) -> None:
    """Trade relation R55; volatile oil leaves and does not count."""
    found = judged(
        tmp_path, ("thirsty-silica", 30), ("isododecane", 50), ("hexyldecanol", "rest"), more=SILICA
    )
    assert found.free_oil.volatile_percent == 50
    assert found.free_oil.oil_percent == pytest.approx(20)
    assert found.free_oil.tendency == "dry"


def test_assumed_oil_absorption_leaves_a_range_and_is_named(tmp_path: Path) -> None:
    found = judged(tmp_path, ("zinc-oxide-40-silane", 30), ("hexyldecanol", 15),
                   ("polyglyceryl-3-diisostearate", "rest"))  # fmt: skip
    assert found.free_oil.held_low_percent < found.free_oil.held_high_percent
    assert found.free_oil.tendency == "undecided"
    assert any("Oil absorption by class" in said for said in found.basis.assumed)


def test_emulsifiers_are_no_oil(tmp_path: Path) -> None:
    found = judged(tmp_path, ("polyglyceryl-3-diisostearate", 100))
    assert found.oils == ()
    assert found.verdict == "unknown"
    assert found.oil_viscosity_mPas is None
