"""Small formulas for the regulation tests, built by hand."""

from zincite.formula.brief import Brief
from zincite.formula.formula import Formula, Ingredient, Phase
from zincite.formula.material import Coating, Grade, Material
from zincite.sources import Evidence, Sourced

WATER = Material("water", "Aqua", volatile=True)
OIL = Material("caprylic-capric-triglyceride", "Caprylic/Capric Triglyceride")


def pigment(
    name="zinc-oxide-250",
    core="zinc-oxide",
    *,
    inci="Zinc Oxide",
    median_nm=400.0,
    gsd=1.4,
    weighting="number",
    coatings=(),
    functions=("UV filter",),
    evidence=Evidence.DATA_SHEET,
    **properties,
):
    """Return a pigment card; properties are plain numbers."""
    grade = Grade(
        core,
        median_nm,
        gsd,
        weighting=weighting,
        coatings=tuple(Coating(inci, percent) for inci, percent in coatings),
        evidence=evidence,
    )
    known = {k: Sourced(v, "", Evidence.DATA_SHEET, "test") for k, v in properties.items()}
    return Material(name, inci, functions, "pigment", properties=known, grade=grade)


def formula(*parts, brief=None, **kw):
    """Return a formula of (card, percent) pairs, the rest water."""
    rest = 100.0 - sum(percent for _, percent in parts)
    cards = {card.id: card for card, _ in parts} | {"water": WATER}
    ingredients = tuple(Ingredient(card.id, percent) for card, percent in parts)
    phase = Phase("A", "oil", (*ingredients, Ingredient("water", rest, True)))
    return Formula("T", "test", "water-in-oil", (phase,), cards, brief=brief, **kw)


def brief(spf=30.0, product="face"):
    return Brief(label_spf=spf, product=product)


def line(assessment, topic):
    """Return the one requirement of a topic."""
    (found,) = [r for r in assessment.requirements if r.topic == topic]
    return found


def topics(assessment):
    return [r.topic for r in assessment.requirements]


ZINC = pigment()
TITANIUM = pigment("titanium-dioxide-250", "titanium-dioxide-rutile", inci="Titanium Dioxide")
