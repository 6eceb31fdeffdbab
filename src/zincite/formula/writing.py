"""Writing of formulas, briefs and cards as TOML that `load_formula` reads back unchanged."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import fields

from zincite.formula.brief import Brief
from zincite.formula.formula import Formula
from zincite.formula.library import library
from zincite.formula.material import Grade, Material
from zincite.sources import Sourced

__all__ = ["brief_text", "card_text", "formula_text"]


def formula_text(formula: Formula) -> str:
    """Return a formula as the text of a formula file.

    Parameters
    ----------
    formula : Formula

    Returns
    -------
    str
        TOML with the brief inline and every card that is not the library's.
    """
    lines = [
        "[formula]",
        f"code = {_text(formula.code)}",
        f"name = {_text(formula.name)}",
        f"emulsion = {_text(formula.emulsion)}",
    ]
    if formula.note:
        lines.append(f"note = {_text(formula.note)}")
    if formula.water_phase_ph is not None:
        lines.append(f"water_phase_ph = {_number(formula.water_phase_ph)}")
    for phase in formula.phases:
        lines += ["", "[[phase]]", f"name = {_text(phase.name)}", f"kind = {_text(phase.kind)}"]
        if phase.temperature_C is not None:
            lines.append(f"temperature_C = {_number(phase.temperature_C)}")
        for item in phase.ingredients:
            share = '"rest"' if item.is_rest else _number(item.percent)
            lines += [
                "  [[phase.ingredient]]",
                f"  material = {_text(item.material)}",
                f"  percent = {share}",
            ]
    if formula.process_batch_kg is not None:
        lines += ["", "[process]", f"batch_kg = {_number(formula.process_batch_kg)}"]
    for step in formula.process:
        lines += ["", "[[process.step]]", f"device = {_text(step.device)}"]
        if step.phases:
            lines.append(f"phases = [{', '.join(_text(name) for name in step.phases)}]")
        if step.note:
            lines.append(f"note = {_text(step.note)}")
        lines += [f"{key} = {_number(value)}" for key, value in step.settings.items()]
    if formula.prices_per_kg or formula.currency != "EUR":
        lines += ["", "[prices]", f"currency = {_text(formula.currency)}"]
        prices = formula.prices_per_kg.items()
        lines += [f"{_text(key)} = {_sourced(price)}" for key, price in prices]
    if formula.brief is not None:
        lines += ["", "[brief]", *_brief_lines(formula.brief)]
    shipped = library()
    for key, card in formula.materials.items():
        if key not in shipped or shipped[key] != card:
            lines += ["", card_text(card).rstrip()]
    return "\n".join(lines) + "\n"


def brief_text(brief: Brief) -> str:
    """Return a brief as the text of a brief file."""
    return "\n".join(["[brief]", *_brief_lines(brief)]) + "\n"


def _brief_lines(brief: Brief) -> Iterable[str]:
    for entry in fields(brief):
        value = getattr(brief, entry.name)
        if value == entry.default:
            continue
        if isinstance(value, tuple):
            yield f"{entry.name} = [{', '.join(_text(item) for item in value)}]"
        elif isinstance(value, bool):
            yield f"{entry.name} = {'true' if value else 'false'}"
        elif isinstance(value, str):
            yield f"{entry.name} = {_text(value)}"
        else:
            yield f"{entry.name} = {_number(value)}"


def card_text(card: Material) -> str:
    """Return a material card as a `[[material]]` table."""
    lines = [
        "[[material]]",
        f"id = {_text(card.id)}",
        f"inci = {_text(card.inci)}",
        f"functions = [{', '.join(_text(item) for item in card.functions)}]",
        f"phase = {_text(card.phase)}",
        f"dispersion_shape = {_text(card.dispersion_shape)}",
    ]
    for key in ("volatile", "uv_absorbing"):
        if getattr(card, key):
            lines.append(f"{key} = true")
    for key in ("natural_basis", "notes"):
        if getattr(card, key):
            lines.append(f"{key} = {_text(getattr(card, key))}")
    lines += [f"{key} = {_sourced(value)}" for key, value in card.properties.items()]
    if card.composition:
        parts = (
            f"  {{ material = {_text(part.material)}, percent = {_number(part.percent)} }},"
            for part in card.composition
        )
        lines += ["composition = [", *parts, "]"]
        lines.append(f"composition_evidence = {_text(card.composition_evidence.value)}")
        lines.append(f"composition_source = {_text(card.composition_source)}")
    if card.grade is not None:
        lines += _grade_lines(card.grade)
    return "\n".join(lines) + "\n"


def _grade_lines(grade: Grade) -> Iterable[str]:
    yield "  [material.grade]"
    yield f"  core = {_text(grade.core)}"
    yield f"  primary_median_nm = {_number(grade.primary_median_nm)}"
    yield f"  primary_gsd = {_number(grade.primary_gsd)}"
    yield f"  weighting = {_text(grade.weighting)}"
    yield f"  evidence = {_text(grade.evidence.value)}"
    if grade.source:
        yield f"  source = {_text(grade.source)}"
    for key in (
        "aggregate_fraction",
        "aggregate_median_nm",
        "supplied_aggregate_fraction",
        "supplied_aggregate_median_nm",
    ):
        value = getattr(grade, key)
        if value is not None:
            yield f"  {key} = {_sourced(value)}"
    if grade.histogram_nm:
        sizes, shares = _numbers(grade.histogram_nm), _numbers(grade.histogram_share)
        yield f"  histogram = {{ diameter_nm = {sizes}, share = {shares} }}"
    if grade.extinction_nm:
        waves, values = _numbers(grade.extinction_nm), _numbers(grade.extinction_L_g_cm)
        yield f"  extinction = {{ wavelength_nm = {waves}, L_per_g_cm = {values} }}"
    index = {f.name: getattr(grade.index_model, f.name) for f in fields(grade.index_model)}
    given = [f"{key} = {_number(value)}" for key, value in index.items() if value is not None]
    if given:
        yield f"  index = {{ {', '.join(given)} }}"
    for layer in grade.coatings:
        yield "  [[material.grade.coating]]"
        yield f"  inci = {_text(layer.inci)}"
        yield f"  mass_percent = {_number(layer.mass_percent)}"
        for key in ("density_g_ml", "refractive_index"):
            if getattr(layer, key) is not None:
                yield f"  {key} = {_number(getattr(layer, key))}"
        yield f"  evidence = {_text(layer.evidence.value)}"
        if layer.source:
            yield f"  source = {_text(layer.source)}"


def _number(value: float) -> str:
    """Return a number as TOML writes it; searches hand in numpy's numbers too."""
    return repr(float(value))


def _numbers(values: Iterable[float]) -> str:
    return f"[{', '.join(_number(value) for value in values)}]"


def _text(value: str) -> str:
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _sourced(value: Sourced) -> str:
    parts = [f"value = {_number(value.value)}"]
    parts += [
        f"{k} = {_number(getattr(value, k))}"
        for k in ("low", "high")
        if getattr(value, k) is not None
    ]
    parts.append(f"evidence = {_text(value.evidence.value)}")
    if value.source:
        parts.append(f"source = {_text(value.source)}")
    return f"{{ {', '.join(parts)} }}"
