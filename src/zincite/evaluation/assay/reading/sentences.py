"""What a spectra reader understood, in sentences."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from zincite.evaluation.assay.reading.axes import Block
from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.labels import Label
from zincite.evaluation.assay.reading.regridding import SATURATION_ABSORBANCE, Spectrum

__all__ = ["axis_sentences", "label_sentence", "left_out_sentences", "repair_sentences"]


def axis_sentences(blocks: Sequence[Block], spectra: Sequence[Spectrum]) -> list[str]:
    """Return where the wavelengths stand and how they meet the grid."""
    block = blocks[0]
    way = "down" if not block.view.turned else "along"
    place = block.view.column_name(block.column)
    order = "rising" if block.direction > 0 else "falling"
    first, last, step = spectra[0].first_nm, spectra[0].last_nm, spectra[0].step_nm
    sentences = [
        f"Wavelengths {way} {place}, {first:g} to {last:g} nm in steps of {step:g} nm, {order}"
        + (f"; {len(blocks)} such blocks." if len(blocks) > 1 else ".")
    ]
    if any(spectrum.interpolated for spectrum in spectra):
        sentences.append("Absorbance is interpolated linearly to steps of 1 nm.")
    elif step < 1:
        sentences.append("Readings at whole nanometres are used.")
    return sentences


def label_sentence(labels: Sequence[Label]) -> str:
    """Return how many spectra each plate has."""
    counts = Counter((label.plate, label.condition) for label in labels)
    parts = [
        f"plate {shown(plate, 30)[1:-1]}{' ' + condition if condition else ''} with {count} "
        + ("spectrum" if count == 1 else "spectra")
        for (plate, condition), count in counts.items()
    ]
    more = f" and {len(parts) - 8} more plates" if len(parts) > 8 else ""
    total = "1 spectrum" if len(labels) == 1 else f"{len(labels)} spectra"
    return f"{total}: {', '.join(parts[:8])}{more}."


def left_out_sentences(left_out: Sequence[str]) -> list[str]:
    """Return which columns beside the spectra were not read, and why."""
    if not left_out:
        return []
    more = f" and {len(left_out) - 5} more" if len(left_out) > 5 else ""
    return [f"Not read as spectra: {', '.join(left_out[:5])}{more}."]


def repair_sentences(spectra: Sequence[Spectrum]) -> list[str]:
    """Return every repair: bounds, clipped noise, gaps and repeats."""
    sentences = []
    saturated = sum(spectrum.saturated_readings for spectrum in spectra)
    clipped = sum(spectrum.clipped for spectrum in spectra)
    repeated = sum(spectrum.repeated for spectrum in spectra)
    gaps = [gap for spectrum in spectra for gap in spectrum.gaps]
    if saturated:
        sentences.append(
            f"{_readings(saturated)} over range or beyond {SATURATION_ABSORBANCE:g} A: "
            "a lower bound of absorbance."
        )
    if clipped:
        sentences.append(
            f"{_readings(clipped)} at or below 0 % transmittance set to the limit of "
            f"{SATURATION_ABSORBANCE:g} A."
        )
    if gaps:
        places = sorted({f"{a:g}" if a == b else f"{a:g}-{b:g}" for a, b in gaps})
        more = f" and {len(places) - 5} more" if len(places) > 5 else ""
        sentences.append(
            f"{len(gaps)} {'gap' if len(gaps) == 1 else 'gaps'} interpolated at "
            f"{', '.join(places[:5])}{more} nm."
        )
    if repeated:
        sentences.append(
            f"{_readings(repeated)} at repeated wavelengths were identical and dropped."
        )
    return sentences


def _readings(count: int) -> str:
    return "1 reading" if count == 1 else f"{count} readings"
