"""Hypothesis strategies for the domain objects of the formula room, shared by all tests."""

from __future__ import annotations

from hypothesis import strategies as st

from zincite.formula.brief import SKIN_CLASSES, Brief
from zincite.formula.formula import EMULSIONS, PHASE_KINDS, Formula, Ingredient, Phase
from zincite.formula.library import library
from zincite.formula.material import (
    CORE_DENSITIES_G_ML,
    DISPERSION_SHAPES,
    Coating,
    Constituent,
    Grade,
    IndexModel,
    Material,
)
from zincite.formula.process import DEVICES, SETTINGS, ProcessStep, device_key
from zincite.sources import Evidence, Sourced

__all__ = [
    "blends",
    "briefs",
    "formulas",
    "grades",
    "library_ids",
    "powders",
    "process_steps",
    "shares_to_100",
    "sourced",
]

library_ids = st.sampled_from(tuple(library()))
"""Ids of shipped cards."""

_words = st.text(
    st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=12
)
_evidence = st.sampled_from(tuple(Evidence))


def shares_to_100(count: int) -> st.SearchStrategy[list[float]]:
    """Return lists of `count` shares above 0 that sum to 100 %."""
    weights = st.lists(st.integers(1, 1000), min_size=count, max_size=count)
    return weights.map(lambda found: [100.0 * w / sum(found) for w in found])


@st.composite
def sourced(draw: st.DrawFn, unit: str, low: float, high: float) -> Sourced:
    """Return values with a range and evidence."""
    numbers = sorted(draw(st.lists(st.floats(low, high), min_size=3, max_size=3)))
    with_range = draw(st.booleans())
    return Sourced(
        numbers[1],
        unit,
        draw(_evidence),
        draw(_words),
        numbers[0] if with_range else None,
        numbers[2] if with_range else None,
    )


@st.composite
def grades(draw: st.DrawFn) -> Grade:
    """Return pigment grades of any core, size and coating."""
    names = draw(
        st.lists(
            st.sampled_from(("Stearic Acid", "Alumina", "Silica", "Dimethicone", "Novelty")),
            max_size=3,
            unique=True,
        )
    )
    coatings = tuple(
        Coating(n, draw(st.floats(0.1, 15)), evidence=draw(_evidence), source=draw(_words))
        for n in names
    )
    sizes = draw(st.lists(st.floats(1, 2000), max_size=5, unique=True))
    aggregated = draw(st.booleans())
    gap = st.one_of(st.none(), st.floats(3, 4))
    return Grade(
        core=draw(st.sampled_from(tuple(CORE_DENSITIES_G_ML))),
        primary_median_nm=draw(st.floats(5, 2000)),
        primary_gsd=draw(st.floats(1, 3)),
        weighting=draw(st.sampled_from(("volume", "number"))),
        histogram_nm=tuple(sizes),
        histogram_share=tuple(draw(st.floats(0.01, 1)) for _ in sizes),
        coatings=coatings,
        aggregate_fraction=draw(sourced("", 0, 1)) if aggregated else None,
        aggregate_median_nm=draw(sourced("nm", 20, 5000)) if aggregated else None,
        supplied_aggregate_fraction=draw(st.none() | sourced("", 0, 1)),
        supplied_aggregate_median_nm=draw(st.none() | sourced("nm", 20, 50_000)),
        extinction_nm=(308.0, 360.0) if aggregated else (),
        extinction_L_g_cm=(14.0, 12.5) if aggregated else (),
        index_model=IndexModel(gap_eV=draw(gap)),
        evidence=draw(_evidence),
        source=draw(_words),
    )


@st.composite
def powders(draw: st.DrawFn, key: str = "own-powder") -> Material:
    """Return a pigment card."""
    return Material(key, draw(_words), ("UV filter",), "pigment", grade=draw(grades()))


@st.composite
def blends(draw: st.DrawFn, key: str = "own-blend") -> Material:
    """Return a blend of library cards, which may be blends themselves."""
    parts = draw(st.lists(library_ids, min_size=1, max_size=4, unique=True))
    shares = draw(shares_to_100(len(parts)))
    properties = {"density_g_ml": draw(sourced("g/mL", 0.5, 3))} if draw(st.booleans()) else {}
    return Material(
        key,
        draw(_words),
        properties=properties,
        composition=tuple(Constituent(p, s) for p, s in zip(parts, shares, strict=True)),
        dispersion_shape=draw(st.sampled_from(DISPERSION_SHAPES)),
        composition_source="own file",
    )


@st.composite
def process_steps(draw: st.DrawFn) -> ProcessStep:
    """Return a step on any device with settings in their ranges."""
    settings = {
        key: draw(st.floats(low, high))
        for key, (low, high, _) in SETTINGS.items()
        if draw(st.booleans())
    }
    device = draw(st.one_of(st.sampled_from(DEVICES), _words.map(device_key)))
    return ProcessStep(device, settings, note=draw(_words))


@st.composite
def briefs(draw: st.DrawFn) -> Brief:
    """Return briefs with any choice of targets."""
    return Brief(
        name=draw(_words),
        label_spf=draw(st.one_of(st.none(), st.floats(1.5, 100))),
        natural_origin_min_percent=draw(st.one_of(st.none(), st.floats(0, 100))),
        markets=tuple(draw(st.lists(st.sampled_from(("eu", "usa", "australia")), unique=True))),
        skin_classes=tuple(draw(st.lists(st.sampled_from(SKIN_CLASSES), unique=True))),
        non_nano=draw(st.booleans()),
        emulsion=draw(st.one_of(st.none(), st.sampled_from(EMULSIONS))),
    )


@st.composite
def formulas(draw: st.DrawFn) -> Formula:
    """Return formulas of library cards, an own blend and an own powder, in one to four phases."""
    own = (draw(blends()), draw(powders()))
    names = draw(st.lists(library_ids, min_size=1, max_size=10))
    names += draw(st.lists(st.sampled_from([card.id for card in own]), max_size=2))
    shares = draw(shares_to_100(len(names)))
    items = [Ingredient(n, s) for n, s in zip(names, shares, strict=True)]
    count = draw(st.integers(1, min(4, len(items))))
    phases = tuple(
        Phase(
            name=f"{number + 1}",
            kind=draw(st.sampled_from(PHASE_KINDS)),
            ingredients=tuple(items[number::count]),
            temperature_C=draw(st.one_of(st.none(), st.floats(10, 95))),
        )
        for number in range(count)
    )
    return Formula(
        code=draw(_words),
        name=draw(_words),
        emulsion=draw(st.sampled_from(EMULSIONS)),
        phases=phases,
        materials=_closure(names, {card.id: card for card in own}),
        brief=draw(st.one_of(st.none(), briefs())),
        process=tuple(draw(st.lists(process_steps(), max_size=2))),
        note=draw(st.one_of(st.just(""), _words)),
    )


def _closure(names: list[str], own: dict[str, Material]) -> dict[str, Material]:
    """Return the cards of the names and of all parts below them, parts first."""
    found: dict[str, Material] = {}

    def add(name: str) -> None:
        if name not in found:
            card = own[name] if name in own else library()[name]
            for part in card.composition:
                add(part.material)
            found[name] = card

    for name in names:
        add(name)
    return found
