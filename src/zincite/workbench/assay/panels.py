"""Acts on panels: SPF, UVA-PF and water resistance on people."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path

from zincite.evaluation.assay.panel import Panel
from zincite.evaluation.assay.panel_advice import PanelProbability, panel_probability
from zincite.evaluation.assay.reading.panels import PanelFile, WaterFile, read_panel, read_water
from zincite.evaluation.assay.spf_in_vivo import SpfInVivo, evaluate_spf_in_vivo
from zincite.evaluation.assay.uva_in_vivo import UvaInVivo, evaluate_uva_in_vivo
from zincite.evaluation.assay.water_resistance import WaterResistance, evaluate_water_resistance
from zincite.evaluation.regulation import label_target
from zincite.workbench.assay.lines import LearntResult, result_lines
from zincite.workbench.assay.overlay import Expected, Overlay, compared, known
from zincite.workbench.assay.report import AssayReport, FileRead, in_file

__all__ = ["spf", "uva_pf", "water"]

_FEWEST = 3  # below, the scatter within the panel says too little


def _error(panel: Panel) -> float | None:
    return None if panel.sd is None else panel.sd / math.sqrt(panel.n)


def _read(kind: str, found: PanelFile | WaterFile) -> tuple[FileRead, ...]:
    return (FileRead(kind, found.name, found.understood),)


def _unit_note(found: PanelFile) -> tuple[str, ...]:
    if found.dose_unit:
        return ()
    return ("The file states no unit of dose; both columns are taken to share one.",)


def spf(
    path: str | Path,
    *,
    label_spf: float | None = None,
    market: str = "eu",
    references: Mapping[str, float] | None = None,
    expected_spf: float | None = None,
    decimal: str | None = None,
    expected: Expected | None = None,
) -> AssayReport[SpfInVivo, PanelFile]:
    """Return the SPF of a panel (ISO 24444).

    Parameters
    ----------
    path, decimal
        As `read_panel`.
    label_spf : float, optional
        SPF wanted on the label, for the chance that a panel reaches it; that of the formula's
        brief when left out.
    market : str
        Whose label classes say which tested SPF the label needs.
    references, expected_spf
        As `evaluate_spf_in_vivo`.
    expected : Expected, optional
        Formula whose prediction is laid over.

    Raises
    ------
    InputError
        If the file cannot be read or evaluated, or the market is not known.
    """
    panel = read_panel(path, decimal=decimal)
    with in_file(panel.name):
        found = evaluate_spf_in_vivo(
            panel.subjects, references=references, expected_spf=expected_spf
        )
    overlay = None
    if expected is not None:
        overlay = _spf_overlay(found, expected, label_spf, market)
    learnt = LearntResult("spf-in-vivo", found.panel.mean, _error(found.panel))
    return AssayReport(
        "spf",
        found,
        panel,
        _read("panel", panel),
        overlay,
        result_lines([learnt], formula=expected.path if expected else None, valid=found.valid),
        notes=_unit_note(panel),
    )


def _spf_overlay(
    found: SpfInVivo, expected: Expected, label_spf: float | None, market: str
) -> Overlay:
    skin = expected.skin
    item = compared(
        "spf", "SPF", found.panel.mean, skin.draws.spf, centre=float(skin.centre.spf[0])
    )
    brief = expected.formula.brief
    wanted = label_spf if label_spf is not None else (brief.label_spf if brief else None)
    notes = ["The prediction's interval holds what the model misses of a measured SPF."]
    chance = None
    if wanted is None:
        notes.append("No label SPF is wanted, so no chance of reaching it is worked out.")
    else:
        chance = _chance(found.panel, expected, wanted, market)
        notes.append(
            f"Target: a mean of {chance.target_spf:g} for the label SPF {wanted:g}, market "
            f"{market}."
        )
    return expected.overlay(known(item), panel=chance, notes=tuple(notes))


def _chance(panel: Panel, expected: Expected, wanted: float, market: str) -> PanelProbability:
    target = label_target(market, wanted)
    least = wanted if target is None else target.tested_spf_min
    cv = panel.cv_percent if panel.n >= _FEWEST else None
    return panel_probability(expected.skin.draws.spf, least, cv_percent=cv)


def uva_pf(
    path: str | Path,
    *,
    label_spf: float | None = None,
    decimal: str | None = None,
    expected: Expected | None = None,
) -> AssayReport[UvaInVivo, PanelFile]:
    """Return the UVA-PF of a panel (ISO 24442).

    Parameters
    ----------
    path, decimal
        As `read_panel`, with the doses called MPPDD.
    label_spf : float, optional
        SPF on the label, for the ratio.
    expected : Expected, optional
        Formula whose prediction is laid over.
    """
    panel = read_panel(path, dose="MPPDD", decimal=decimal)
    with in_file(panel.name):
        found = evaluate_uva_in_vivo(panel.subjects, label_spf=label_spf)
    overlay = None
    if expected is not None:
        skin = expected.skin
        item = compared(
            "uva_pf",
            "UVA-PF",
            found.panel.mean,
            skin.draws.uva_pf,
            centre=float(skin.centre.uva_pf[0]),
        )
        overlay = expected.overlay(
            known(item),
            notes=("The prediction's interval holds what the model misses of a measured SPF.",),
        )
    learnt = LearntResult("uva-pf-in-vivo", found.panel.mean, _error(found.panel))
    return AssayReport(
        "uva-pf",
        found,
        panel,
        _read("panel", panel),
        overlay,
        result_lines([learnt], formula=expected.path if expected else None, valid=found.valid),
        notes=_unit_note(panel),
    )


def water(
    path: str | Path,
    *,
    immersion_min: float,
    reference_p2_static_spf: float | None = None,
    decimal: str | None = None,
) -> AssayReport[WaterResistance, WaterFile]:
    """Return the water resistance of a panel (ISO 16217, ISO 18861).

    Parameters
    ----------
    path, decimal
        As `read_water`.
    immersion_min : float
        Total immersion, 40 or 80. [min]
    reference_p2_static_spf : float, optional
        Mean static SPF of reference P2 in the same test.
    """
    panel = read_water(path, decimal=decimal)
    with in_file(panel.name):
        found = evaluate_water_resistance(
            panel.subjects,
            immersion_min=immersion_min,
            reference_p2_static_spf=reference_p2_static_spf,
        )
    return AssayReport("water", found, panel, _read("panel", panel))
