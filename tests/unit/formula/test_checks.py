"""What a colleague would say on reading a formula."""

from __future__ import annotations

import pytest

from zincite.formula.checks import Finding, check_formula
from zincite.formula.reading import parse_formula

GOOD_OIL = {
    "zinc-oxide-120-in-caprylic-capric-triglyceride-60": 30.0,
    "polyglyceryl-4-isostearate": 3.0,
    "coco-caprylate": 8.0,
}
GOOD_WATER = {"glycerin": 3.0, "magnesium-sulfate": 0.7}


def check(
    oil: dict[str, float] | None = None,
    water: dict[str, float] | None = None,
    *,
    emulsion: str = "water-in-oil",
    rest: str = "water",
    temperature_c: float = 90,
    extra: str = "",
) -> list[Finding]:
    def phase(name: str, kind: str, shares: dict[str, float | str]) -> str:
        text = f'[[phase]]\nname = "{name}"\nkind = "{kind}"\ntemperature_C = {temperature_c}\n'
        for key, value in shares.items():
            shown = f'"{value}"' if isinstance(value, str) else value
            text += f'[[phase.ingredient]]\nmaterial = "{key}"\npercent = {shown}\n'
        return text

    text = f'[formula]\nemulsion = "{emulsion}"\n'
    text += phase("A", "oil", dict(GOOD_OIL if oil is None else oil))
    text += phase("B", "water", {**(GOOD_WATER if water is None else water), rest: "rest"})
    return list(check_formula(parse_formula(text + extra)))


def said(found: list[Finding], level: str, words: str) -> bool:
    return any(f.level == level and words in f.message for f in found)


def test_a_sound_formula_has_only_notes() -> None:
    found = check()
    assert [f for f in found if f.level != "note"] == []
    assert said(found, "note", "sizes of this grade are assumed")
    assert said(found, "note", "shares of this blend are assumed")


@pytest.mark.parametrize(
    ("arguments", "level", "words"),
    [
        ({"emulsion": "anhydrous"}, "error", "says anhydrous but holds 55.3 % water"),
        ({"rest": "squalane", "water": {}}, "error", "holds no water"),
        ({"oil": {**GOOD_OIL, "polyglyceryl-4-isostearate": 0.5}}, "warning", "is little"),
        ({"oil": {"zinc-oxide-120": 20.0}}, "error", "has no W/O emulsifier"),
        (
            {"oil": {"zinc-oxide-120": 20.0, "polysorbate-80": 3.0}},
            "warning",
            "(3 % O/W emulsifier is there)",
        ),
        ({"emulsion": "oil-in-water"}, "warning", "has no O/W emulsifier"),
        ({"water": {"glycerin": 3.0}}, "warning", "without electrolyte"),
        ({"water": {"sodium-chloride": 5.0}}, "note", "5 % electrolyte is much"),
        ({"oil": {"polyglyceryl-4-isostearate": 3.0}}, "warning", "holds no zinc oxide"),
        ({"oil": {**GOOD_OIL, "zinc-oxide-250": 28.0}}, "warning", "46 % UV pigment is beyond"),
        ({"oil": {**GOOD_OIL, "zinc-oxide-250": 28.0}}, "warning", "most markets stop at 25 %"),
        ({"oil": {**GOOD_OIL, "isododecane": 45.0}}, "warning", "45 % evaporates"),
        ({"oil": {**GOOD_OIL, "butyloctyl-salicylate": 4.0}}, "warning", "absorbs UV itself"),
        # 0.2 g citric acid x 0.635 g ZnO/g (3 acid groups: 3 x 81.38 / (2 x 192.12))
        ({"water": {**GOOD_WATER, "citric-acid": 0.2}}, "warning", "dissolve 0.13 % zinc oxide"),
        ({"oil": {**GOOD_OIL, "stearic-acid": 1.0}}, "warning", "zinc soap"),
        ({"water": {**GOOD_WATER, "ascorbyl-palmitate": 0.1}}, "note", "may react with zinc oxide"),
        (
            {"oil": {**GOOD_OIL, "copernicia-cerifera-wax": 1.0}, "temperature_c": 50},
            "warning",
            "melts at 83 degC, the phase is held at 50 degC",
        ),
        ({"water": {**GOOD_WATER, "phenoxyethanol": 3.0}}, "warning", "above the usual 1 %"),
        ({"water": {**GOOD_WATER, "phenoxyethanol": 0.1}}, "note", "below the usual 0.5 %"),
        ({"water": {**GOOD_WATER, "squalane": 5.0}}, "warning", "stands in the water phase"),
        ({"oil": {**GOOD_OIL, "heptyl-undecylenate": 5.0}}, "note", "heptyl-undecylenate"),
        (
            {"oil": {**GOOD_OIL, "stearalkonium-bentonite": 1.0}},
            "warning",
            "natural origin index missing, counted 0: Stearalkonium Bentonite",
        ),
        ({"oil": {**GOOD_OIL, "squalane": 0.0}}, "note", "has 0 %"),
        (
            {"extra": '[[material]]\nid = "water"\ninci = "Aqua"\ndensity_g_ml = 1.0\n'},
            "note",
            "takes the place of the library's",
        ),
        (
            {"extra": '[[material]]\nid = "coco-caprylate"\ninci = "A (and) B"\n'},
            "warning",
            "joins several substances without composition",
        ),
    ],
)
def test_finding(arguments: dict[str, object], level: str, words: str) -> None:
    found = check(**arguments)  # type: ignore[arg-type]
    assert said(found, level, words), [f.message for f in found]
    assert not said(check(), level, words)


def test_errors_come_first() -> None:
    levels = [f.level for f in check({"zinc-oxide-120": 20.0}, emulsion="anhydrous")]
    assert levels == sorted(levels, key=("error", "warning", "note").index)
    assert levels[0] == "error"


def test_water_in_the_oil_phase() -> None:
    found = check({**GOOD_OIL, "water": 5.0})
    assert said(found, "warning", "water stands in a phase of kind 'oil'")


def test_acids_are_harmless_without_zinc_oxide() -> None:
    oil = {"titanium-dioxide-50-silica": 10.0, "polyglyceryl-4-isostearate": 3.0}
    found = check(oil, {**GOOD_WATER, "citric-acid": 0.2})
    assert not any("zinc oxide" in f.message for f in found)
