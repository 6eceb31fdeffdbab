"""The report of a prediction: one HTML file that needs no other file and no network."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence

from markupsafe import Markup

from zincite.errors import InputError
from zincite.evaluation.judgement import BriefLine
from zincite.evaluation.prediction import CAUTIONS, Prediction
from zincite.evaluation.regulation import VERDICTS, MarketAssessment, Requirement
from zincite.interfaces.documents import figures
from zincite.interfaces.documents.environment import environment
from zincite.interfaces.documents.judged import (
    differing_percents,
    key_numbers,
    listed,
    reasons_against,
    reasons_for,
    verdict_sentence,
)
from zincite.interfaces.documents.numbers import (
    decimals_for,
    signed_text,
    with_unit,
)
from zincite.interfaces.documents.rows import (
    formula_rows,
    headline_numbers,
    result_rows,
    versions,
)
from zincite.workbench.making.overview import Overview

__all__ = ["comparison_html", "report_html"]


def _drawn(pictures: Mapping[str, str]) -> dict[str, Markup]:
    """Mark pictures as markup: `svg` escapes every text that goes into them."""
    return {name: Markup(picture) for name, picture in pictures.items()}


def _margin(line: BriefLine) -> str:
    """Return a margin with sign and unit, as precise as the result itself."""
    if line.margin is None:
        return ""
    shown = signed_text(line.margin, decimals=decimals_for(line.found), digits=3)
    return with_unit(shown, line.unit)


def report_html(
    prediction: Prediction,
    assessments: Sequence[MarketAssessment] = (),
    *,
    compared: Sequence[Prediction] = (),
    making: Overview | None = None,
    made_on: datetime.date | None = None,
    head: str = "",
) -> str:
    """Return the report of one prediction as a whole HTML page.

    Parameters
    ----------
    prediction : Prediction
    assessments : sequence of MarketAssessment
        One for each market that was checked.
    compared : sequence of Prediction
        Alternatives that were not chosen.
    making : Overview, optional
        Answers on the formula's making.
    made_on : date, optional
        Printed date; today where left out.
    head : str
        Where the notebook's history ends, as `Head.line` says it; "" without a notebook.

    Returns
    -------
    str
        HTML with its pictures and styles inside; it loads nothing and runs no script.
    """
    p = prediction
    pictures = {
        "transmittance": figures.transmittance(p),
        "absorbance": figures.absorbance(p),
        "cumulative": figures.cumulative_absorbance(p),
        "film": figures.film_thickness(p),
        "sizes": figures.pigment_sizes(p),
        "depth": figures.optical_depth(p),
        "levers": figures.lever_chart(p.levers),
    }
    page: str = (
        environment()
        .get_template("report.html")
        .render(
            p=p,
            formula=p.formula,
            brief=p.formula.brief,
            verdict_sentence=verdict_sentence(p),
            key_numbers=key_numbers(p),
            lines=[
                (line, Markup(figures.brief_bar(line, key=f"bar-{n}")), _margin(line))
                for n, line in enumerate(p.brief)
            ],
            limit_text=figures.limit_text,
            headlines=headline_numbers(p),
            look_first=[f for f in p.findings if f.level in ("error", "warning")],
            markets=[
                (
                    a,
                    _by_gravity(r for r in a.requirements if r.verdict != "passes"),
                    [r for r in a.requirements if r.verdict == "passes"],
                )
                for a in assessments
            ],
            compared=_alternatives(p, compared),
            differences=differing_percents((p, *compared)) if compared else (),
            pictures=_drawn(pictures),
            swatches=[Markup(s) for s in figures.skin_swatches(p)],
            making=_parts(making),
            not_asked=() if making is None else making.unanswered,
            phases=formula_rows(p.formula, {line.material: line.evidence for line in p.cost.lines}),
            cautions=tuple(
                dict.fromkeys((*CAUTIONS, *(c for a in assessments for c in a.cautions)))
            ),
            versions=versions(),
            made_on=(made_on or datetime.date.today()).isoformat(),
            notebook_head=head,
        )
    )
    return page


def _parts(making: Overview | None) -> list[dict[str, object]]:
    """Return each answer on making with its first picture."""
    if making is None:
        return []
    from zincite.interfaces.documents.making import pictures_of, sheet_of

    parts: list[dict[str, object]] = []
    for report in making.reports:
        picture = next(iter(pictures_of(report)), None)
        basis = report.result.basis
        parts.append(
            {
                "kind": report.kind,
                "sheet": sheet_of(report),
                # `svg` escapes every text that goes into a picture
                "picture": picture and (picture.title, Markup(picture.svg), picture.caption),
                "assumed": basis.assumed,
                "warnings": basis.warnings,
            }
        )
    return parts


def _by_gravity(requirements: Iterable[Requirement]) -> list[Requirement]:
    """Return what needs attention first, otherwise in the order of work."""
    return sorted(
        requirements,
        key=lambda r: VERDICTS.index(r.verdict) if r.verdict in VERDICTS else len(VERDICTS),
    )


def _alternatives(chosen: Prediction, compared: Sequence[Prediction]) -> list[dict[str, object]]:
    """Return the chosen formula and its alternatives with what speaks for and against them."""
    if not compared:
        return []
    return [
        {"p": chosen, "results": result_rows(chosen), "against": (), "for": (), "chosen": True},
        *(
            {
                "p": other,
                "results": result_rows(other),
                "against": reasons_against(other, chosen),
                "for": reasons_for(other, chosen),
                "chosen": False,
            }
            for other in compared
        ),
    ]


def _notes(predictions: Sequence[Prediction]) -> list[tuple[str, str]]:
    """Return each note once with the codes of the formulas that carry it."""
    codes: dict[str, list[str]] = {}
    for prediction in predictions:
        if prediction.formula.note:
            codes.setdefault(prediction.formula.note, []).append(prediction.formula.code)
    return [(note, listed(names)) for note, names in codes.items()]


def comparison_html(
    predictions: Sequence[Prediction],
    *,
    made_on: datetime.date | None = None,
    head: str = "",
) -> str:
    """Return formulas side by side as a whole HTML page.

    Parameters
    ----------
    predictions : sequence of Prediction
        Two or more; differences are counted from the first.
    made_on : date, optional
        Printed date; today where left out.
    head : str
        Where the notebook's history ends, as `Head.line` says it; "" without a notebook.

    Returns
    -------
    str
        HTML that loads nothing.

    Raises
    ------
    InputError
        If there are fewer than two.
    """
    if len(predictions) < 2:
        raise InputError(f"a comparison got {len(predictions)} prediction(s), expected at least 2")
    first = predictions[0]
    topics = list(dict.fromkeys((line.topic, line.sense) for p in predictions for line in p.brief))
    pictures = {
        "transmittance": figures.compared_transmittance(predictions),
        "white_cast": figures.compared_white_cast(predictions),
    }
    page: str = (
        environment()
        .get_template("comparison.html")
        .render(
            predictions=predictions,
            first=first,
            title=f"{listed([p.formula.code for p in predictions])} side by side",
            notes=_notes(predictions),
            sentences=[verdict_sentence(p) for p in predictions],
            results=[result_rows(p) for p in predictions],
            brief_rows=[
                (
                    topic,
                    [
                        next((x for x in p.brief if (x.topic, x.sense) == (topic, sense)), None)
                        for p in predictions
                    ],
                )
                for topic, sense in topics
            ],
            limit_text=figures.limit_text,
            differences=differing_percents(predictions),
            words=[(p, reasons_for(p, first), reasons_against(p, first)) for p in predictions[1:]],
            pictures=_drawn(pictures),
            swatches=[
                [Markup(s) for s in figures.skin_swatches(p, key=f"swatch-{n}")]
                for n, p in enumerate(predictions)
            ],
            cautions=CAUTIONS,
            versions=versions(),
            made_on=(made_on or datetime.date.today()).isoformat(),
            notebook_head=head,
        )
    )
    return page
