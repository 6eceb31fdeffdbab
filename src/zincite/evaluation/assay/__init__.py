"""Evaluation of laboratory tests by their standards.

Names are loaded when they are first asked for, so that a command pays for one test only.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from zincite.evaluation.assay.broad_spectrum import (
        BroadSpectrumUsa,
        evaluate_broad_spectrum_usa,
    )
    from zincite.evaluation.assay.colour import ColourReading, ColourTest, evaluate_colour
    from zincite.evaluation.assay.contrast import ContrastRatio, evaluate_contrast_ratio
    from zincite.evaluation.assay.flow import FlowEvaluation, evaluate_flow
    from zincite.evaluation.assay.panel_advice import PanelProbability, panel_probability
    from zincite.evaluation.assay.panel_subjects import PanelSubject, subject_from_ladders
    from zincite.evaluation.assay.photostability import Photostability, evaluate_photostability
    from zincite.evaluation.assay.reported import (
        ReportedResult,
        record_double_plate,
        record_hybrid,
    )
    from zincite.evaluation.assay.screening import GradeScreening, screen_grades
    from zincite.evaluation.assay.sizes import SizeEvaluation, evaluate_sizes
    from zincite.evaluation.assay.spf_in_vivo import SpfInVivo, evaluate_spf_in_vivo
    from zincite.evaluation.assay.uva_in_vitro import evaluate_uva_in_vitro
    from zincite.evaluation.assay.uva_in_vivo import UvaInVivo, evaluate_uva_in_vivo
    from zincite.evaluation.assay.uva_result import UvaInVitro
    from zincite.evaluation.assay.water_resistance import (
        WaterResistance,
        WaterSubject,
        evaluate_water_resistance,
    )

__all__ = [
    "BroadSpectrumUsa",
    "ColourReading",
    "ColourTest",
    "ContrastRatio",
    "FlowEvaluation",
    "GradeScreening",
    "PanelProbability",
    "PanelSubject",
    "Photostability",
    "ReportedResult",
    "SizeEvaluation",
    "SpfInVivo",
    "UvaInVitro",
    "UvaInVivo",
    "WaterResistance",
    "WaterSubject",
    "evaluate_broad_spectrum_usa",
    "evaluate_colour",
    "evaluate_contrast_ratio",
    "evaluate_flow",
    "evaluate_photostability",
    "evaluate_sizes",
    "evaluate_spf_in_vivo",
    "evaluate_uva_in_vitro",
    "evaluate_uva_in_vivo",
    "evaluate_water_resistance",
    "panel_probability",
    "record_double_plate",
    "record_hybrid",
    "screen_grades",
    "subject_from_ladders",
]

_PLACES = {
    "broad_spectrum": ("BroadSpectrumUsa", "evaluate_broad_spectrum_usa"),
    "colour": ("ColourReading", "ColourTest", "evaluate_colour"),
    "contrast": ("ContrastRatio", "evaluate_contrast_ratio"),
    "flow": ("FlowEvaluation", "evaluate_flow"),
    "panel_advice": ("PanelProbability", "panel_probability"),
    "panel_subjects": ("PanelSubject", "subject_from_ladders"),
    "photostability": ("Photostability", "evaluate_photostability"),
    "reported": ("ReportedResult", "record_double_plate", "record_hybrid"),
    "screening": ("GradeScreening", "screen_grades"),
    "sizes": ("SizeEvaluation", "evaluate_sizes"),
    "spf_in_vivo": ("SpfInVivo", "evaluate_spf_in_vivo"),
    "uva_in_vitro": ("evaluate_uva_in_vitro",),
    "uva_in_vivo": ("UvaInVivo", "evaluate_uva_in_vivo"),
    "uva_result": ("UvaInVitro",),
    "water_resistance": ("WaterResistance", "WaterSubject", "evaluate_water_resistance"),
}
_MODULES = {name: module for module, names in _PLACES.items() for name in names}


def __getattr__(name: str) -> Any:
    if name not in _MODULES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_MODULES[name]}"), name)
