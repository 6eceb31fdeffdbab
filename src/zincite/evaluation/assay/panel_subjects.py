"""Subjects of a panel and the dose ladders that their doses are read from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from zincite.errors import OutOfRangeError

__all__ = ["PanelSubject", "ThresholdDose", "subject_from_ladders", "threshold_dose"]


@dataclass(frozen=True, slots=True)
class ThresholdDose:
    """Smallest dose of a ladder that gave a response.

    Attributes
    ----------
    dose : float or None
        In the unit of the ladder; None where the ladder does not show it.
    reason : str
        Why it is None, "" otherwise.
    largest_ratio : float
        Largest ratio of neighbouring doses.
    """

    dose: float | None
    reason: str
    largest_ratio: float


def threshold_dose(doses: ArrayLike, responses: Sequence[bool]) -> ThresholdDose:
    """Return the minimal erythemal (or pigmenting) dose of one row of test spots.

    Parameters
    ----------
    doses : array_like, shape (n,)
        Rising doses, > 0, at least 2, any unit.
    responses : sequence of bool, length n
        Whether each spot shows the first clear response.

    Returns
    -------
    ThresholdDose
        Without a dose where no spot responds, the lowest already does, or a spot above the first
        response does not respond.

    Raises
    ------
    OutOfRangeError
        If the doses do not rise, are not above 0, or their number is not that of the responses.

    Examples
    --------
    >>> threshold_dose([10.0, 12.5, 15.6], [False, True, True]).dose
    12.5
    """
    ladder = np.asarray(doses, dtype=np.float64)
    if ladder.ndim != 1 or ladder.size != len(responses) or ladder.size < 2:
        raise OutOfRangeError(
            f"{ladder.size} doses and {len(responses)} responses are given, expected one response "
            "for each of at least 2 doses"
        )
    if not (np.isfinite(ladder).all() and ladder[0] > 0 and np.all(np.diff(ladder) > 0)):
        raise OutOfRangeError("the doses of a ladder do not rise from above 0, expected that")
    ratio = float(np.max(ladder[1:] / ladder[:-1]))
    hits = [bool(response) for response in responses]
    if not any(hits):
        return ThresholdDose(None, f"no response up to dose {ladder[-1]:g}", ratio)
    first = hits.index(True)
    if first == 0:
        return ThresholdDose(None, f"response at the lowest dose {ladder[0]:g} already", ratio)
    if not all(hits[first:]):
        gap = ladder[first + hits[first:].index(False)]
        return ThresholdDose(
            None, f"no response at dose {gap:g} above a response at {ladder[first]:g}", ratio
        )
    return ThresholdDose(float(ladder[first]), "", ratio)


@dataclass(frozen=True, slots=True)
class PanelSubject:
    """One subject as the laboratory reports it.

    Attributes
    ----------
    subject : str
        Code of the subject, unique in the panel.
    unprotected, protected : float or None
        MED (or MPPDD) without and with product, both in one unit; None where missing.
    ita_deg : float or None
        Individual typology angle of the test area. [deg]
    excluded : str
        Reason for which the laboratory leaves the subject out, "" if it does not.
    note : str
        Why a dose is missing, such as "no response up to dose 60".
    unprotected_ratio, protected_ratio : float or None
        Largest ratio of neighbouring doses of the ladders, where known.
    """

    subject: str
    unprotected: float | None
    protected: float | None
    ita_deg: float | None = None
    excluded: str = ""
    note: str = ""
    unprotected_ratio: float | None = None
    protected_ratio: float | None = None


def subject_from_ladders(
    subject: str,
    unprotected: tuple[ArrayLike, Sequence[bool]],
    protected: tuple[ArrayLike, Sequence[bool]],
    *,
    ita_deg: float | None = None,
    excluded: str = "",
) -> PanelSubject:
    """Return a subject whose doses are read from its two dose ladders.

    Parameters
    ----------
    subject : str
    unprotected, protected : tuple of (array_like, sequence of bool)
        Doses and responses as for `threshold_dose`, both in one unit.
    ita_deg : float, optional
        Individual typology angle. [deg]
    excluded : str
        Reason of an exclusion.

    Returns
    -------
    PanelSubject

    Raises
    ------
    OutOfRangeError
        As `threshold_dose`, with the subject named.
    """
    try:
        bare, covered = threshold_dose(*unprotected), threshold_dose(*protected)
    except OutOfRangeError as error:
        raise OutOfRangeError(f"subject {subject}: {error}") from error
    notes = [
        f"{where} skin: {found.reason}"
        for where, found in (("unprotected", bare), ("protected", covered))
        if found.reason
    ]
    return PanelSubject(
        subject,
        bare.dose,
        covered.dose,
        ita_deg,
        excluded,
        "; ".join(notes),
        bare.largest_ratio,
        covered.largest_ratio,
    )
