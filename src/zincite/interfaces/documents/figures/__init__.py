"""Pictures of a prediction, each a string of SVG that needs nothing else."""

from zincite.interfaces.documents.figures.appearance import (
    skin_swatch,
    skin_swatches,
    worst_class,
)
from zincite.interfaces.documents.figures.brief_bars import brief_bar, brief_bars, limit_text
from zincite.interfaces.documents.figures.comparison import (
    compared_transmittance,
    compared_white_cast,
)
from zincite.interfaces.documents.figures.film import film_thickness
from zincite.interfaces.documents.figures.levers import lever_chart
from zincite.interfaces.documents.figures.pigments import optical_depth, pigment_sizes
from zincite.interfaces.documents.figures.spectra import (
    absorbance,
    cumulative_absorbance,
    transmittance,
)

__all__ = [
    "absorbance",
    "brief_bar",
    "brief_bars",
    "compared_transmittance",
    "compared_white_cast",
    "cumulative_absorbance",
    "film_thickness",
    "lever_chart",
    "limit_text",
    "optical_depth",
    "pigment_sizes",
    "skin_swatch",
    "skin_swatches",
    "transmittance",
    "worst_class",
]
