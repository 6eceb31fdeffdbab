"""The demo's story as data: versions, lots and trials of six invented months."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from zincite.data.tables import read_rows, read_text
from zincite.formula.brief import Brief
from zincite.formula.changes import with_amounts
from zincite.formula.formula import Formula
from zincite.formula.library import library
from zincite.formula.material import Material
from zincite.formula.process import ProcessStep
from zincite.formula.reading import load_brief, load_formula
from zincite.sources import Evidence, Sourced

__all__ = ["DEMO_FOLDER", "DemoTrial", "DemoVersion", "Story", "read_story", "table"]

DEMO_FOLDER = Path(str(files("zincite.data").joinpath("demo")))
_FOLDER = "demo/notebook"
_ZINC = "trial-zinc-oxide-70-silane"


@dataclass(frozen=True, slots=True)
class DemoVersion:
    """A version of a formula in the story.

    Attributes
    ----------
    name : str
        Such as "OF-4@2".
    on : str
        Day on which it was written.
    parent : str
        Name of the version it was made from, "" for the first.
    reason : str
    formula : Formula
        With the brief of that day.
    base : str
        File that it was written from.
    route : str
        Way of making that differs from the base file's, "" for the file's own.
    """

    name: str
    on: str
    parent: str
    reason: str
    formula: Formula
    base: str
    route: str


@dataclass(frozen=True, slots=True)
class DemoTrial:
    """A batch of the story.

    Attributes
    ----------
    code, version, made_on, made_by : str
    batch_kg : float
    formula : Formula
        The version's, with the steps as they were run.
    base, route : str
        As of the version; `route` is the trial's own where it has one.
    lots : dict of str to str
        Code of the lot of each material that has lots.
    label_spf : float
        SPF that its plates are scaled to.
    tests : tuple of (str, int)
        What was measured, and on how many people, 0 where not on people.
    """

    code: str
    version: str
    made_on: str
    made_by: str
    batch_kg: float
    formula: Formula
    base: str
    route: str
    lots: dict[str, str]
    label_spf: float
    tests: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Story:
    """The whole story.

    Attributes
    ----------
    project : dict of str to str
        code, name, note.
    briefs : tuple of (str, str, Brief)
        Day, reason and the brief from then on.
    cards : tuple of (str, str, Material)
        Day, reason and the laboratory's own card.
    versions : tuple of DemoVersion
    lots : tuple of dict
    trials : tuple of DemoTrial
    said : dict of str to tuple of dict
        deviation, withdrawal, comment, decision, attachment.
    """

    project: dict[str, str]
    briefs: tuple[tuple[str, str, Brief], ...]
    cards: tuple[tuple[str, str, Material], ...]
    versions: tuple[DemoVersion, ...]
    lots: tuple[dict[str, Any], ...]
    trials: tuple[DemoTrial, ...]
    said: dict[str, tuple[dict[str, str], ...]]


def table(name: str) -> dict[str, Any]:
    """Return one TOML file of the story."""
    return tomllib.loads(read_text(f"{_FOLDER}/{name}.toml"))


@lru_cache(maxsize=1)
def read_story() -> Story:
    """Return the story that ships."""
    told, written = table("story"), table("versions")
    briefs = tuple(_brief(entry) for entry in told["brief"])
    routes = {entry["name"]: _steps(entry) for entry in written["route"]}
    versions: list[DemoVersion] = []
    for entry in written["version"]:
        number = 1 + sum(v.formula.code == entry["code"] for v in versions)
        versions.append(_version(entry, number, briefs, routes))
    lots = tuple(table("lots")["lot"])
    return Story(
        told["project"],
        briefs,
        tuple(_card(entry) for entry in told["card"]),
        tuple(versions),
        lots,
        _trials({v.name: v for v in versions}, lots, routes),
        {
            kind: tuple(told[kind])
            for kind in ("deviation", "withdrawal", "comment", "decision", "attachment")
        },
    )


@lru_cache(maxsize=8)
def _base(name: str) -> Formula:
    return load_formula(DEMO_FOLDER / name)


def _brief(entry: Mapping[str, Any]) -> tuple[str, str, Brief]:
    whole = load_brief(DEMO_FOLDER / "brief.toml")
    taken_out: dict[str, Any] = dict.fromkeys(entry.get("without", ()))
    return entry["on"], entry["reason"], replace(whole, **taken_out, **entry.get("change", {}))


def _card(entry: Mapping[str, Any]) -> tuple[str, str, Material]:
    card = _base("fluid.toml").materials[entry["material"]]
    assert card.grade is not None  # the laboratory's own cards are of powders
    (layer,) = card.grade.coatings
    percent = float(entry.get("coating_percent", layer.mass_percent))
    grade = replace(
        card.grade,
        coatings=(replace(layer, mass_percent=percent),),
        aggregate_fraction=None,  # a data sheet does not know how the powder is dispersed
        aggregate_median_nm=None,
    )
    return entry["on"], entry["reason"], replace(card, grade=grade)


def _steps(entry: Mapping[str, Any]) -> tuple[ProcessStep, ...]:
    """Return the steps of a base file with changed settings."""
    steps = list(_base(entry["base"]).process)
    for change in entry["change"]:
        place = change["step"] - 1
        words = {key: change[key] for key in ("device", "note") if key in change}
        numbers = {k: float(v) for k, v in change.items() if k not in ("step", "device", "note")}
        old = steps[place]
        steps[place] = replace(old, settings={**old.settings, **numbers}, **words)
    return tuple(steps)


def _version(
    entry: Mapping[str, Any],
    number: int,
    briefs: tuple[tuple[str, str, Brief], ...],
    routes: Mapping[str, tuple[ProcessStep, ...]],
) -> DemoVersion:
    base, route = entry["base"], entry.get("route", "")
    formula = _base(base)
    amounts = {key: float(value) for key, value in entry.get("amounts", {}).items()}
    cards = {key: library()[key] for key in amounts if key in library()}
    formula = with_amounts(formula, amounts, cards=cards, phase=entry.get("new_in", "pigment"))
    used = {i.material for i in formula.ingredients}
    offers = {
        key: Sourced(float(value), "EUR/kg", Evidence.DATA_SHEET, "invented offer")
        for key, value in entry.get("prices", {}).items()
    }
    prices = {k: v for k, v in {**formula.prices_per_kg, **offers}.items() if k in used}
    warm = entry.get("temperatures_C", {})
    formula = replace(
        formula,
        name=entry.get("name", formula.name),
        note="Invented laboratory, invented trials. " + entry["reason"],
        brief=next(brief for day, _, brief in reversed(briefs) if day <= entry["on"]),
        phases=tuple(
            replace(p, temperature_C=float(warm[p.name])) if p.name in warm else p
            for p in formula.phases
        ),
        process=routes[route] if route else formula.process,
        prices_per_kg=prices,
        materials=_materials(formula, entry),
        path=None,
    )
    name = f"{entry['code']}@{number}"
    return DemoVersion(
        name, entry["on"], entry.get("parent", ""), entry["reason"], formula, base, route
    )


def _materials(formula: Formula, entry: Mapping[str, Any]) -> dict[str, Material]:
    """Return the cards, the fine zinc oxide's with the aggregates that were measured."""
    found, card = entry.get("aggregates"), formula.materials.get(_ZINC)
    if found is None or card is None or card.grade is None:
        return dict(formula.materials)
    grade = replace(
        card.grade,
        aggregate_fraction=Sourced(found["fraction"], "", Evidence.MEASURED, found["source"]),
        aggregate_median_nm=Sourced(found["median_nm"], "nm", Evidence.MEASURED, found["source"]),
    )
    return {**formula.materials, _ZINC: replace(card, grade=grade)}


def _trials(
    versions: Mapping[str, DemoVersion],
    lots: tuple[dict[str, Any], ...],
    routes: Mapping[str, tuple[ProcessStep, ...]],
) -> tuple[DemoTrial, ...]:
    found = []
    for cell in read_rows(f"{_FOLDER}/trials.csv"):
        version = versions[cell["formula"]]
        route = cell["route"] or version.route
        formula = version.formula
        if cell["route"]:
            formula = replace(formula, process=routes[cell["route"]])
        named = {x["material"]: x["code"] for x in lots if x["code"] in cell["lots"].split()}
        found.append(
            DemoTrial(
                cell["code"],
                version.name,
                cell["made_on"],
                cell["made_by"],
                float(cell["batch_kg"]),
                formula,
                version.base,
                route,
                {**_newest(formula, lots, cell["made_on"]), **named},
                float(cell["label_spf"]),
                tuple(_test(word) for word in cell["tests"].split()),
            )
        )
    return tuple(found)


def _test(word: str) -> tuple[str, int]:
    kind, _, people = word.partition(":")
    return kind, int(people or 0)


def _newest(formula: Formula, lots: tuple[dict[str, Any], ...], day: str) -> dict[str, str]:
    """Return the lot of each material that came in last before a day."""
    used = formula.percent_by_material()
    there = sorted((x["received_on"], x["material"], x["code"]) for x in lots)
    return {material: code for on, material, code in there if on <= day and material in used}
