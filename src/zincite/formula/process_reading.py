"""Reading of the `[process]` table of a formula file."""

from __future__ import annotations

from typing import Any

from zincite.formula.documents import Document, nearest
from zincite.formula.formula import Phase
from zincite.formula.process import SETTINGS, ProcessStep, device_key
from zincite.formula.values import check_keys, number, optional_number, optional_text, tables, text
from zincite.formula.values import texts as read_texts

__all__ = ["read_process"]

_STEP_KEYS = ("device", "phases", "note", *SETTINGS)


def read_process(
    document: Document, phases: tuple[Phase, ...]
) -> tuple[tuple[ProcessStep, ...], float | None]:
    """Return the steps and the batch size that the settings were written for.

    Parameters
    ----------
    document : Document
    phases : tuple of Phase
        Of the formula, for the names that steps may add.

    Returns
    -------
    steps : tuple of ProcessStep
    batch_kg : float or None
        [kg]

    Raises
    ------
    InputError
        If a key is unknown, a value impossible, or a phase is unknown or added twice.
    """
    if "process" not in document.data:
        return (), None
    place = document.top().inside("[process]").at("process", 0)
    table = document.data["process"]
    if not isinstance(table, dict):
        document.top().fail(
            "has something else than a table as [process], expected a table [process]"
        )
    check_keys(table, ("step", "batch_kg"), place)
    names = tuple(phase.name for phase in phases)
    added: set[str] = set()
    steps = tuple(
        _step(document, index, entry, names, added)
        for index, entry in enumerate(tables(table.get("step", []), "process.step", place))
    )
    return steps, optional_number(table, "batch_kg", place, 1e-3, 1e5)


def _step(
    document: Document, index: int, entry: dict[str, Any], names: tuple[str, ...], added: set[str]
) -> ProcessStep:
    place = document.top().inside(f"process step {index + 1}").at("process.step", index)
    if "device" not in entry:
        place.fail('has no device, expected such as device = "rotor-stator"')
    check_keys(entry, _STEP_KEYS, place)
    wanted = read_texts(entry["phases"], "phases", place) if "phases" in entry else ()
    for name in wanted:
        if name not in names:
            close = nearest(name, names, count=1) or names
            place.fail(f"adds phase {name!r}, expected one of the formula's such as {close[0]!r}")
        if name in added:
            place.fail(f"adds phase {name!r} a second time, expected each phase once")
        added.add(name)
    settings = {
        key: number(entry[key], key, place, low, high)
        for key, (low, high, _) in SETTINGS.items()
        if key in entry
    }
    return ProcessStep(
        device_key(text(entry["device"], "device", place)),
        settings,
        wanted,
        optional_text(entry, "note", place),
    )
