"""Blends and coated powders taken apart, with the natural origin indexes that follow."""

from __future__ import annotations

import pytest

from zincite.errors import FormulaError, UnknownMaterialError
from zincite.formula.formula import Formula, Ingredient, Phase
from zincite.formula.library import library
from zincite.formula.material import Coating, Constituent, Grade, Material
from zincite.formula.substances import core_inci, leaves, leaves_of, resolve, substances_of
from zincite.sources import Sourced


def formula(cards: list[Material], shares: dict[str, float]) -> Formula:
    parts = tuple(Ingredient(key, value) for key, value in shares.items())
    known = {**{k: library()[k] for k in shares if k in library()}, **{c.id: c for c in cards}}
    return Formula("T", "T", "anhydrous", (Phase("A", "oil", parts),), known)


def powder(core: str, *coatings: tuple[str, float], inci: str = "Zinc Oxide") -> Material:
    layers = tuple(Coating(*layer) for layer in coatings)
    return Material("p", inci, grade=Grade(core, 120, coatings=layers))


def natural_origin(card: Material) -> float:
    total = 0.0
    for part in substances_of(card):
        assert part.natural_origin_index is not None
        total += part.percent / 100 * part.natural_origin_index.value
    return total


@pytest.mark.parametrize(
    ("core", "coatings", "index"),
    [
        # Worked on the rule "mass-weighted sum of the parts' indexes" (ISO 16128-2:2017 as
        # reviewed by COSMED, Beauty Horizons 3/2021; class indexes of ISO 16128-1:2016 from memory)
        ("zinc-oxide", [("Triethoxycaprylylsilane", 2.0)], 0.98),
        ("zinc-oxide", [("Stearic Acid", 3.0)], 1.0),
        ("titanium-dioxide-rutile", [("Alumina", 10.0), ("Stearic Acid", 8.0)], 1.0),
        ("titanium-dioxide-rutile", [("Silica", 8.0), ("Dimethicone", 5.0)], 0.95),
    ],
)
def test_natural_origin_of_coated_pigments(
    core: str, coatings: list[tuple[str, float]], index: float
) -> None:
    assert natural_origin(powder(core, *coatings)) == pytest.approx(index, abs=1e-12)


@pytest.mark.parametrize(
    ("card", "printed"),
    [
        # 1 - M(petrochemical part)/M with M of IUPAC atomic masses, rounded as printed
        ("isopropyl-myristate", 1 - 43.09 / 270.46),
        ("ethylhexyl-palmitate", 1 - 113.22 / 368.65),
        ("dicaprylyl-carbonate", 1 - 28.01 / 286.46),
        ("isopropyl-palmitate", 1 - 43.09 / 298.51),
    ],
)
def test_natural_origin_of_esters_by_molar_mass(card: str, printed: float) -> None:
    assert library()[card].property_value("natural_origin_index") == pytest.approx(
        printed, abs=5e-3
    )


def test_powder_is_split_by_mass() -> None:
    found = {s.inci: (s.percent, s.role) for s in substances_of(powder("zinc-oxide", ("X", 4.0)))}
    assert found == {"Zinc Oxide": (96.0, "core"), "X": (4.0, "coating")}


def test_a_stated_index_holds_for_all_parts() -> None:
    card = library()["zinc-oxide-120-silane"]
    stated = Sourced(0.5)
    own = Material(
        card.id, card.inci, properties={"natural_origin_index": stated}, grade=card.grade
    )
    assert natural_origin(own) == pytest.approx(0.5)


def test_a_blends_stated_index_is_above_its_parts() -> None:
    blend = Material(
        "b",
        "Blend",
        properties={"natural_origin_index": Sourced(0.25)},
        composition=(Constituent("squalane", 50), Constituent("dimethicone", 50)),
    )
    assert natural_origin(blend) == pytest.approx(0.25)


def test_unknown_coating_has_no_index() -> None:
    core, layer = substances_of(powder("zinc-oxide", ("Unobtainium Laurate", 4.0)))
    assert core.natural_origin_index is not None
    assert layer.natural_origin_index is None


def test_nested_blends_are_taken_apart_and_merged() -> None:
    inner = Material(
        "inner", "I", composition=(Constituent("squalane", 40), Constituent("water", 60))
    )
    outer = Material(
        "outer", "O", composition=(Constituent("inner", 50), Constituent("squalane", 50))
    )
    found = {
        card.id: share
        for card, share in leaves(formula([inner, outer], {"outer": 80, "squalane": 20}))
    }
    # squalane: 80 x (0.5 x 0.4 + 0.5) + 20
    assert found == pytest.approx({"squalane": 76.0, "water": 24.0})


def test_pigments_stay_whole_in_leaves() -> None:
    name = "titanium-dioxide-15-alumina-stearate-in-caprylic-capric-triglyceride-40"
    found = {card.id: share for card, share in leaves_of(library()[name], {})}
    assert found["titanium-dioxide-15-alumina-stearate"] == pytest.approx(0.40)
    assert set(found) == {
        "titanium-dioxide-15-alumina-stearate",
        "caprylic-capric-triglyceride",
        "polyhydroxystearic-acid",
    }


def test_equal_substances_of_different_cards_stay_apart() -> None:
    shares = {"zinc-oxide-120-stearate": 50.0, "zinc-oxide-250-stearate": 50.0}
    found = [s for s in resolve(formula([], shares)) if s.inci == "Zinc Oxide"]
    assert [(s.material, s.percent) for s in found] == [
        ("zinc-oxide-120-stearate", pytest.approx(48.5)),
        ("zinc-oxide-250-stearate", pytest.approx(49.0)),
    ]


def test_circle_is_refused() -> None:
    a = Material("a", "A", composition=(Constituent("b", 100),))
    b = Material("b", "B", composition=(Constituent("a", 100),))
    with pytest.raises(FormulaError, match=r"circle \(a -> b -> a\)"):
        leaves(formula([a, b], {"a": 100}))


def test_part_without_card_is_refused() -> None:
    a = Material("a", "A", composition=(Constituent("nowhere", 100),))
    with pytest.raises(UnknownMaterialError, match="composition of 'a' names 'nowhere'"):
        resolve(formula([a], {"a": 100}))


def test_core_names_follow_the_card() -> None:
    assert core_inci(library()["titanium-dioxide-220"]) == "CI 77891"
    assert core_inci(library()["titanium-dioxide-50-silica"]) == "Titanium Dioxide"
    assert core_inci(library()["ci-77492-silane"]) == "CI 77492"
    with pytest.raises(FormulaError, match="has no grade"):
        core_inci(library()["water"])
