"""How a terminal shows a prediction: decision, numbers, white cast, levers, then detail."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from rich.text import Text

from zincite.evaluation.cost import Cost
from zincite.evaluation.estimate import Estimate, Exact
from zincite.evaluation.prediction import CAUTIONS, Prediction, WhiteCast
from zincite.formula.brief import SKIN_CLASSES
from zincite.formula.checks import Finding
from zincite.formula.formula import Formula
from zincite.formula.material import Grade
from zincite.interfaces.cli.brief_view import decision, estimate_cell, show_brief
from zincite.interfaces.cli.terminal import Cell, Screen, assumed, clean, verdict
from zincite.interfaces.documents.numbers import found_text, number_text, signed_text

__all__ = ["show_cautions", "show_formula_title", "show_prediction"]

_RANKING = "Predicted values rank formulas, they are no label claim. Every interval is 90 %."


def show_formula_title(screen: Screen, formula: Formula) -> None:
    """Print code, name and kind of emulsion, and the note of the formula file."""
    screen.title(f"{formula.code}  {formula.name}", formula.emulsion)
    if formula.note:
        screen.line(formula.note, style="italic")


def show_prediction(screen: Screen, made: Prediction) -> None:
    """Print a prediction, what the chemist decides on first."""
    show_formula_title(screen, made.formula)
    brief = made.formula.brief
    if made.brief and brief is not None:
        screen.line(decision(made))
        screen.line(_RANKING, style="dim")
        show_brief(screen, made.brief, brief.name)
    else:
        screen.line(
            "No brief in this file, so nothing is judged: add a [brief] table, or "
            'brief = "brief.toml" in [formula].'
        )
        screen.line(_RANKING, style="dim")
    _show_numbers(screen, made)
    _show_white_cast(screen, made)
    _show_levers(screen, made)
    _show_pigments(screen, made)
    _show_ingredients(screen, made)
    _show_findings(screen, made)
    screen.heading("Lamps and action spectra")
    screen.items(_as_evidence(text) for text in made.lamps)
    show_cautions(screen, CAUTIONS)


def show_cautions(screen: Screen, cautions: tuple[str, ...]) -> None:
    """Print what every result says."""
    screen.heading("Before you rely on this")
    screen.items(cautions)


def _as_evidence(text: str) -> Cell:
    return assumed(text) if "(assumed)" in text else text


def _show_numbers(screen: Screen, made: Prediction) -> None:
    screen.heading("Numbers", "best value (90 % interval)")
    drawn = f"calculated, {made.draws} draws of the {made.model}"
    optics: list[tuple[str, Estimate, str]] = [
        ("SPF", made.spf, drawn),
        ("UVA-PF", made.uva_pf, drawn),
        ("UVA-PF / SPF", made.uva_pf_to_spf, drawn),
        ("critical wavelength", made.critical_wavelength_nm, drawn),
        ("UVA / UVB absorbance", made.uva_to_uvb, drawn),
        ("UVA1 share of absorbance", made.uva1_share, drawn),
        ("contrast ratio, black/white", made.contrast_ratio_percent, "calculated, 40 draws"),
    ]
    rows: list[tuple[Cell, Cell, Cell]] = []
    before = ""
    for name, found, known in optics:
        rows.append((name, estimate_cell(found), known if known != before else "as above"))
        before = known
    natural, currency = made.naturality, made.cost.currency
    indexes = f"ISO 16128; {number_text(natural.assumed_percent)} % of the formula by assumed index"
    rows += [
        ("density", estimate_cell(made.density_g_ml), "calculated from the cards, ideal mixing"),
        ("viscosity, low shear", estimate_cell(made.viscosity_mPas), _how_viscosity(made)),
        (f"raw materials, {currency} per kg", _cost_cell(made.cost), _how_priced(made.cost)),
        ("natural origin", estimate_cell(natural.natural_origin_percent), assumed(indexes)),
        (
            "natural origin without water",
            estimate_cell(natural.natural_origin_percent_without_water),
            "as above",
        ),
        ("pigment in the dried film", _pigment_share(made), _how_full(made)),
        ("dose", _dose(made), "SPF method: 2 mg/cm2; the film is dried"),
    ]
    screen.table(
        (("", "left"), ("", "left"), ("how it is known", "left")), rows, widths=(28, 38, 30)
    )


def _how_viscosity(made: Prediction) -> Cell:
    if isinstance(made.viscosity_mPas, Exact):
        return ", ".join(made.viscosity_mPas.missing) or "not known"
    return assumed("rough: factor for structure from two published formulas")


def _cost_cell(cost: Cost) -> Cell:
    if isinstance(cost.per_kg, Exact) and cost.per_kg.value is None:
        return f"above {number_text(cost.known_part_per_kg)}, prices are missing"
    return estimate_cell(cost.per_kg)


def _how_priced(cost: Cost) -> Cell:
    if cost.missing:
        return f"no price for {', '.join(cost.missing)}"
    guessed = sum(line.evidence == "assumed" for line in cost.lines)
    if guessed:
        return assumed(f"{guessed} of {len(cost.lines)} prices are assumed by class of material")
    named = sorted({line.source for line in cost.lines if line.source})
    return f"prices: {', '.join(named)}"


def _pigment_share(made: Prediction) -> str:
    return f"{number_text(100 * made.pigment_volume.film_share, digits=2)} % by volume"


def _how_full(made: Prediction) -> Cell:
    volume = made.pigment_volume
    missing = len(volume.missing_oil_absorption)
    if volume.cpvc is None:
        return "critical share not known: no card gives an oil absorption"
    text = f"critical at {number_text(100 * volume.cpvc, digits=2)} %, from oil absorption"
    return assumed(f"{text}, assumed for {missing} powders") if missing else text


def _dose(made: Prediction) -> str:
    dose = made.dose
    return (
        f"{dose['dose_mg_cm2']:.2f} mg/cm2 = {dose['dose_uL_cm2']:.2f} uL/cm2, "
        f"film {dose['dry_thickness_um']:.1f} um"
    )


def _show_white_cast(screen: Screen, made: Prediction) -> None:
    screen.heading("White cast", "film against bare skin, D65, 10 deg")
    asked = made.formula.brief.skin_classes if made.formula.brief else ()
    rows: list[list[Cell]] = []
    for name in SKIN_CLASSES:
        cast = made.white_cast[name]
        rows.append(
            [
                f"{name}, in brief" if name in asked else name,
                found_text(cast.delta_e00),
                found_text(cast.delta_l, signed=True),
                _typology(cast),
                _in_words(cast.delta_l),
            ]
        )
    columns = [
        ("skin class", "left"),
        ("dE00", "left"),
        ("dL*", "left"),
        ("dITA, deg", "left"),
        ("skin looks", "left"),
    ]
    screen.table(columns, rows, widths=(23, 19, 23, 18, 9))
    screen.line(
        "dE00: whole colour difference (CIEDE2000); dL*: change of lightness; dITA: change of the "
        "individual typology angle. Above 0 is lighter than bare skin.",
        style="dim",
    )


def _typology(cast: WhiteCast) -> str:
    """Return the change of the typology angle; the angle means nothing on a bluish film."""
    found = cast.delta_ita_deg
    if cast.film_lab[2] <= 0:
        return "none, film bluish"
    return found_text(replace(found, unit=""), signed=True)


def _in_words(delta_l: Estimate) -> str:
    if delta_l.low > 0:
        return "lighter"
    if delta_l.high < 0:
        return "darker"
    return "either"


def _show_levers(screen: Screen, made: Prediction) -> None:
    if not made.levers:
        return
    asked = made.formula.brief.skin_classes if made.formula.brief else ()
    screen.heading("Levers", "relative change in %, at the model's centre")
    rows = [
        [
            lever.change,
            signed_text(lever.spf_percent, decimals=0),
            signed_text(lever.uva_pf_percent, decimals=0),
            signed_text(lever.white_cast_percent, decimals=0),
        ]
        for lever in made.levers
    ]
    cast = f"dE00 of {', '.join(asked)}" if asked else "mean dE00"
    screen.table((("change", "left"), ("SPF", "right"), ("UVA-PF", "right"), (cast, "right")), rows)
    screen.line(
        "+1 %: one percentage point more of the material, off the balancing ingredient.",
        style="dim",
    )


def _show_pigments(screen: Screen, made: Prediction) -> None:
    if not made.pigments:
        return
    screen.heading("Pigments")
    rows: list[tuple[Cell, Cell]] = []
    for pigment in made.pigments:
        grade = made.formula.materials[pigment.material].grade
        if grade is None:
            continue
        text = Text(f"{pigment.percent:.4g} %; ").append(_sizes(grade)).append("; ")
        text.append(assumed(pigment.processed) if pigment.processed else _aggregates(grade))
        small = number_text(pigment.number_below_100nm_percent, digits=2)
        text.append(f"; {pigment.nano} ({small} % by number below 100 nm)")
        rows.append((pigment.material, text))
        if pigment.fitted:
            rows.append(("", pigment.fitted))
    screen.pairs(rows)


def _sizes(grade: Grade) -> Text:
    """Return the primary sizes with their evidence."""
    if grade.histogram_nm:
        size = f"histogram of {len(grade.histogram_nm)} sizes by {grade.weighting}"
    else:
        size = f"{grade.primary_median_nm:g} nm by {grade.weighting}, width {grade.primary_gsd:g}"
    known = f"{grade.evidence.value}, {grade.source}" if grade.source else grade.evidence.value
    text = f"{size} ({known})"
    return assumed(text) if grade.evidence.value == "assumed" else Text(clean(text))


def _aggregates(grade: Grade) -> Text:
    """Return the share and size of the aggregates with their evidence."""
    share, size = grade.aggregate_fraction, grade.aggregate_median_nm
    known = share or size
    if known is None:
        return assumed("aggregates as the model draws them (assumed)")
    parts = [f"{100 * share.value:.0f} % in aggregates" if share else "aggregates"]
    if size is not None:
        parts.append(f"of {size.value:g} nm")
    text = f"{' '.join(parts)} ({', '.join(filter(None, (known.evidence.value, known.source)))})"
    return assumed(text) if known.is_assumed else Text(clean(text))


def _show_ingredients(screen: Screen, made: Prediction) -> None:
    screen.heading("Ingredient list", "INCI, in the order of the label")
    screen.line(made.ingredients.text())
    screen.items(made.ingredients.warnings)


def _show_findings(screen: Screen, made: Prediction) -> None:
    if made.findings:
        screen.heading("Findings on the formula")
        screen.pairs(_grouped(made.findings))
    if made.warnings:
        screen.heading("What limits this prediction")
        screen.items(made.warnings)


def _grouped(findings: Iterable[Finding]) -> list[tuple[Cell, Cell]]:
    """Return findings with those of the same message in one row."""
    places: dict[tuple[str, str], list[str]] = {}
    for finding in findings:
        places.setdefault((finding.level, finding.message), []).append(finding.where)
    rows: list[tuple[Cell, Cell]] = []
    for (level, message), where in places.items():
        named = ", ".join(name for name in where if name != "formula")
        rows.append((_level(level), f"{named}: {message}" if named else message))
    return rows


def _level(level: str) -> Text:
    look = {"error": "fails", "warning": "short"}.get(level, "")
    return verdict(look, level) if look else Text(level, style="dim")
