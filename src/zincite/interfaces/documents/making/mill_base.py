"""Sheet and picture of a mill base for a device."""

from __future__ import annotations

import math

from zincite.evaluation.making.dispersion.mill_base_design import MillBaseDesign
from zincite.interfaces.documents.figures.making_dispersion import mill_base_curve
from zincite.interfaces.documents.making._dispersion_words import (
    GRIND,
    in_brackets,
    range_text,
    thick_text,
)
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.sheet import Number, Picture, Sheet, SheetTable, value
from zincite.workbench.making.report import MakingReport

__all__ = ["pictures", "sheet"]

_VERDICTS = {"fits": "passes", "too thick": "fails", "too thin": "short"}
_PORTIONS = (
    "Oil and dispersant first, then the powder in portions under shear; keep the other oils for "
    "the let-down and the water phase for last (a published ladder study made it so)."
)


def sheet(report: MakingReport[MillBaseDesign]) -> Sheet:
    """Return the sheet of a mill base."""
    d = report.result
    fits = {"fits": "fit", "too thick": "are too thick for", "too thin": "are too thin for"}
    return Sheet(
        "Mill base",
        "oil absorption (CPVC), Krieger-Dougherty, viscosity window of the device",
        _VERDICTS[d.verdict],
        f"{number_text(d.solids_percent)} % solids {fits[d.verdict]} a {d.device.name}",
        _sentence(d),
        _reasons(d),
        _numbers(d),
        (_recipe(d),),
        (_PORTIONS, GRIND),
    )


def _sentence(d: MillBaseDesign) -> str:
    most = d.highest_solids_percent
    said = (
        f"It takes at most {number_text(most.median)} %{in_brackets(range_text(most))}; the oil "
        f"fills the gaps up to {number_text(d.cpvc_solids_percent.median)} %"
    )
    if d.lowest_solids_percent is not None and d.lowest_solids_percent > 0:
        said += f" and below {number_text(d.lowest_solids_percent)} % it is too thin to be sheared"
    return f"{said}."


def _reasons(d: MillBaseDesign) -> tuple[str, ...]:
    said = []
    low = d.highest_solids_percent.low
    if d.verdict == "fits" and d.solids_percent > low:
        said.append(
            f"Up to {number_text(low)} % is safe at the thick end of the assumptions: add the "
            "rest of the powder in portions and stop when the paste no longer moves."
        )
    if d.verdict == "too thick":
        said.append(f"Take at most {number_text(d.highest_solids_percent.median)} % solids.")
    if d.verdict == "too thin":
        said.append("The oil gives way instead of the lumps: take more solids or a thicker oil.")
    window = d.device.viscosity_mPas
    if d.verdict == "fits" and window.low is not None and d.dispersed_mPas.median < window.low:
        said.append(
            f"Once dispersed it falls towards {number_text(d.dispersed_mPas.median)} mPa s, below "
            f"the window from {number_text(window.low)}: the work is done before that."
        )
    need, have = d.demand_percent_of_pigment, d.dispersant_percent_of_pigment
    if have < need.low:
        said.append(
            f"{number_text(have, digits=2)} % dispersant on the pigment is below the "
            f"{number_text(need.low, digits=2)} % of a full layer: it may be thicker than said."
        )
    return (*said, *_oil_reasons(d))


def _oil_reasons(d: MillBaseDesign) -> tuple[str, ...]:
    o = d.oil
    if o.needed_percent > o.all_percent * (1 + 1e-9):
        return (
            f"It takes {number_text(o.needed_percent)} % oil of the product and the formula holds "
            f"{number_text(o.all_percent)} %: more solids, or less pigment.",
        )
    if o.needed_percent > o.held_percent * (1 + 1e-3) and not d.mill.dry:
        more = number_text(o.needed_percent - o.held_percent, digits=2)
        return (f"It takes {more} % of the product more oil than {d.mill.where} holds.",)
    return ()


def _numbers(d: MillBaseDesign) -> tuple[Number, ...]:
    window, o = d.device.viscosity_mPas, d.oil
    low = "0" if window.low is None else number_text(window.low)
    high = "without limit" if window.high is None else number_text(window.high)
    assumed = ", assumed" if "viscosity" in d.device.remembered else ""
    need = d.demand_percent_of_pigment
    aim = ", middle of the window" if window.low else ", at half the device's limit"
    return (
        Number("powder", value(d.solids_percent, "%"),
               f"{number_text(d.volume_percent)} vol%" + ("" if d.asked else aim)),
        Number("highest solids", value(d.highest_solids_percent.median, "%"),
               range_text(d.highest_solids_percent, "%")),
        Number("solids at the CPVC", value(d.cpvc_solids_percent.median, "%"),
               range_text(d.cpvc_solids_percent, "%")),
        Number("viscosity as wetted", thick_text(d.in_device_mPas.median, "mPa s"),
               f"{range_text(d.in_device_mPas, 'mPa s')}; device {low} to {high}{assumed}"),
        Number("viscosity once dispersed", thick_text(d.dispersed_mPas.median, "mPa s"),
               range_text(d.dispersed_mPas, "mPa s")),
        Number("viscosity of its oil", value(d.slurry.oil_mPas, "mPa s"), ""),
        Number("dispersant on the pigment", value(d.dispersant_percent_of_pigment, "%"),
               f"{d.dispersant_from}; full layer "
               + (range_text(need, "%", digits=2) or value(need.median, "%"))),
        Number("mill base in the product", value(o.mill_base_percent, "%"),
               f"takes {number_text(o.needed_percent)} % of its "
               f"{number_text(o.all_percent)} % oil"),
        Number("what the device gives", "", d.device.result),
    )  # fmt: skip


def _recipe(d: MillBaseDesign) -> SheetTable:
    rows = tuple((line.role, line.material, f"{line.mass_g:.2f}") for line in d.recipe)
    total = ("", "sum", f"{math.fsum(line.mass_g for line in d.recipe):.2f}")
    return SheetTable(
        "Recipe of 100 g",
        (("", "left"), ("material", "left"), ("g", "right")),
        (*rows, total),
        "in the order of addition",
    )


def pictures(report: MakingReport[MillBaseDesign]) -> tuple[Picture, ...]:
    """Return the viscosity over the solids with the device's window."""
    d = report.result
    return (
        Picture(
            f"Solids that a {d.device.name} takes",
            mill_base_curve(
                d.slurry,
                d.solids_percent,
                name="asked for" if d.asked else "this mill base",
                window=d.device.viscosity_mPas,
                device=d.device.name,
            ),
            "Viscosity as wetted and once dispersed; the bands are the ranges of assumed values, "
            "the tinted stripe is the window of the device.",
        ),
    )
