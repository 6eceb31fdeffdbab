"""Levers against the whole prediction of the changed formula; no outside source."""

from __future__ import annotations

from pathlib import Path

import pytest

import zincite.data
from zincite.evaluation.predicting import predict_formula
from zincite.evaluation.prediction import Prediction
from zincite.formula.changes import with_amounts
from zincite.formula.reading import load_formula

FLUID = Path(zincite.data.__file__).parent / "demo" / "fluid.toml"


@pytest.fixture(scope="module")
def fluid() -> Prediction:
    return predict_formula(load_formula(FLUID))


@pytest.fixture(scope="module")
def changed(fluid: Prediction) -> dict[str, Prediction]:
    """Return predictions with one percentage point more of each pigment."""
    held = fluid.formula.percent_by_material()
    names = [lever.material for lever in fluid.levers if lever.material]
    return {
        name: predict_formula(with_amounts(fluid.formula, {name: held[name] + 1})) for name in names
    }


def test_a_lever_is_what_one_percent_more_does(
    fluid: Prediction, changed: dict[str, Prediction]
) -> None:
    assert len(changed) == 5
    for lever in fluid.levers:
        if not lever.material:
            continue
        made, shown = changed[lever.material], lever.to_dict()
        spf = 100 * (made.spf.median / fluid.spf.median - 1)
        uva = 100 * (made.uva_pf.median / fluid.uva_pf.median - 1)
        # apart by the denser packing of the film, which a lever leaves out
        assert lever.spf_percent == pytest.approx(spf, abs=0.4)
        assert lever.uva_pf_percent == pytest.approx(uva, abs=0.4)
        for key in ("delta_e00", "delta_l"):
            change = {
                skin: getattr(cast, key).median - getattr(fluid.white_cast[skin], key).median
                for skin, cast in made.white_cast.items()
            }
            assert shown[key] == pytest.approx(change, abs=0.2)


def test_a_line_on_white_cast_names_the_pigment_that_lowers_it(
    fluid: Prediction, changed: dict[str, Prediction]
) -> None:
    lines = {line.topic: line.lever for line in fluid.brief}
    for topic, key, skin in (
        ("white cast dL*, dark skin", "delta_l", "dark"),
        ("white cast dE00, brown skin", "delta_e00", "brown"),
        ("white cast dE00, dark skin", "delta_e00", "dark"),
    ):
        best = min(changed, key=lambda name: getattr(changed[name].white_cast[skin], key).median)
        assert lines[topic].startswith(f"+1 % {best}: ")
