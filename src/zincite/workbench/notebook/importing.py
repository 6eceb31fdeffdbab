"""Import of sheets: understand a file, show what it holds, enter it whole or not at all."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from zincite.errors import InputError
from zincite.formula.card_reading import PROPERTIES
from zincite.formula.library import library, read_cards
from zincite.formula.material import Material
from zincite.formula.writing import card_text
from zincite.notebook.attachments import add_attachment
from zincite.notebook.formulas import add_formula, get_formula, list_formulas
from zincite.notebook.lots import CertificateValue, LotRecord, add_lot, list_lots
from zincite.notebook.mappings import list_mappings, remember_mapping
from zincite.notebook.materials import card_of, get_material, keep_material, list_materials
from zincite.notebook.writer import Writer
from zincite.workbench.notebook.opening import Where, opened
from zincite.workbench.sheets import (
    Answers,
    FormulaPlan,
    LayoutMapping,
    MaterialPlan,
    answers_of,
    learnt,
    refuse_unnamed,
    understand_formulas,
    understand_materials,
)
from zincite.workbench.sheets.material_plan import PlannedLot
from zincite.workbench.sheets.plan import PlannedFormula

__all__ = ["Imported", "Plan", "import_plan", "understand_file", "write_plan"]

Plan = FormulaPlan | MaterialPlan

_QUANTITIES = {
    "density_g_ml": "density",
    "price_per_kg": "price",
    "refractive_index": "refractive index",
    "natural_origin_index": "natural origin index",
    "oil_absorption_g_100g": "oil absorption",
}
"""What a lot's certificate calls properties of cards."""


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did.

    Attributes
    ----------
    plan : FormulaPlan or MaterialPlan
        What the file holds.
    entered : tuple of str
        What was entered, such as "formula K-07@1"; files where a folder was written.
    passed_over : tuple of str
        What was there already.
    where : str
        Notebook or folder, "" for a preview.
    head_hash : str
        Of the notebook's last event, "" without a notebook.
    """

    plan: Plan
    entered: tuple[str, ...] = ()
    passed_over: tuple[str, ...] = ()
    where: str = ""
    head_hash: str = ""

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            **self.plan.to_dict(),
            "written_to": self.where or None,
            "entered": list(self.entered),
            "passed_over": list(self.passed_over),
            "head_hash": self.head_hash or None,
        }


def understand_file(
    path: str | Path,
    *,
    where: Where | None = None,
    materials: bool = False,
    cards: str | Path | None = None,
    maps: tuple[str, ...] = (),
    columns: tuple[str, ...] = (),
    **answered: Any,
) -> tuple[Plan, Answers]:
    """Return what a file holds, with the answers that it was understood by; write nothing.

    Parameters
    ----------
    path : str or Path
        XLSX workbook or delimited text.
    where : str, Path or Notebook, optional
        Notebook whose cards and remembered mappings are used.
    materials : bool
        Whether it is a list of materials and lots, not of formulas.
    cards : str or Path, optional
        File or folder of cards, before the notebook's and the library's.
    maps, columns : tuple of str
        "Name=card-id" or a TOML file; "Header=role" or "D=role".
    **answered
        sheet, emulsion, rest, code, new_cards: see `Answers`.

    Raises
    ------
    InputError
        If anything in the file is ambiguous or wrong: one sentence that names the cell.
    """
    own: dict[str, Material] = {}
    remembered: dict[str, LayoutMapping] = {}
    if where is not None:
        with opened(where) as notebook, notebook.read() as connection:
            for record in list_materials(connection):
                if not record.withdrawn:
                    own[record.key] = card_of(record)
            for mapping in list_mappings(connection):
                remembered[mapping.fingerprint] = LayoutMapping(**mapping.content)
    if cards is not None:
        own |= read_cards(cards)
    answers = answers_of(maps, columns, remembered=remembered, **answered)
    understand = understand_materials if materials else understand_formulas
    plan: Plan = understand(path, answers, own)
    return plan, answers


def import_plan(
    where: Where, plan: Plan, answers: Answers, *, who: str, project: str = ""
) -> Imported:
    """Enter a plan: all of it in one transaction, or nothing.

    Parameters
    ----------
    where : str, Path or Notebook
    plan : FormulaPlan or MaterialPlan
    answers : Answers
        What it was understood by; worth remembering is what the file did not say itself.
    who : str
    project : str
        Code of the formulas' project; not needed for materials.

    Raises
    ------
    InputError
        If names are left without cards, the project is missing, or the notebook refuses.
    """
    refuse_unnamed(plan)
    if isinstance(plan, FormulaPlan) and not project:
        raise InputError(f"{plan.file}: no project is named, expected --project CODE")
    with opened(where) as notebook:
        with notebook.write(who) as writer:
            entry = _Entry(writer, plan.file)
            for card in plan.cards:
                entry.card(card)
            if isinstance(plan, FormulaPlan):
                for planned in plan.formulas:
                    entry.formula(planned, project, plan.content)
            else:
                there = {lot.code: lot for lot in list_lots(writer.connection)}
                for lot in plan.lots:
                    entry.lot(lot, there.get(lot.code))
            for layout, mapping in learnt(plan, answers).items():
                if remember_mapping(writer, layout, mapping.to_dict()):
                    entry.done.append("mapping of this layout")
        done = tuple(dict.fromkeys(entry.done))
        return Imported(plan, done, tuple(entry.passed), notebook.name, notebook.head()[1])


class _Entry:
    """Enters what a file holds, and lists what is new and what was there already."""

    def __init__(self, writer: Writer, file: str) -> None:
        self.writer = writer
        self.file = file
        self.done: list[str] = []
        self.passed: list[str] = []

    def card(self, card: Material) -> None:
        """Enter a card, unless its latest version is the same."""
        id, is_new = keep_material(self.writer, card, f"imported from {self.file}")
        called = f"material {get_material(self.writer.connection, id).called}"
        (self.done if is_new else self.passed).append(called)

    def formula(self, planned: PlannedFormula, project: str, content: bytes) -> None:
        """Enter a version with its cards and the file it came in, unless it is there already."""
        formula = planned.formula
        if formula is None:
            raise InputError(f"{self.file}: names are left without cards, expected all of them")
        for known in list_formulas(self.writer.connection, code=formula.code):
            if known.toml == planned.toml and not known.withdrawn:
                self.passed.append(f"formula {known.called}")
                return
        reason = f"imported from {planned.origin}"
        id = add_formula(self.writer, formula, "", project, reason)
        called = get_formula(self.writer.connection, id).called
        self.done.append(f"formula {called}")
        shipped = library()
        for key, card in formula.materials.items():
            if key not in shipped or shipped[key] != card:
                keep_material(self.writer, card, f"came with {called}")
        add_attachment(self.writer, "formula", id, self.file, content)

    def lot(self, lot: PlannedLot, known: LotRecord | None) -> None:
        """Enter a lot, unless it is there with the same material, supplier and dates."""
        stated = (lot.material, lot.supplier.strip(), lot.received_on, lot.expires_on)
        if known is not None and stated == (
            known.material_key,
            known.supplier,
            known.received_on,
            known.expires_on,
        ):
            self.passed.append(f"lot {lot.code}")
            return
        add_lot(
            self.writer,
            lot.code,
            lot.material,
            supplier=lot.supplier,
            received_on=lot.received_on,
            expires_on=lot.expires_on,
            note=lot.note,
            values=[
                CertificateValue(_QUANTITIES.get(key, key), value, PROPERTIES[key][0])
                for key, value in lot.values.items()
            ],
        )
        self.done.append(f"lot {lot.code}")


def write_plan(plan: Plan, folder: str | Path) -> Imported:
    """Write a plan as files: a formula file each, or a file of cards and a table of lots.

    Raises
    ------
    InputError
        If names are left without cards, or a file is there already; nothing is written then.
    """
    refuse_unnamed(plan)
    where = Path(folder)
    files = _formula_files(plan) if isinstance(plan, FormulaPlan) else _material_files(plan)
    taken = next((where / name for name in files if (where / name).exists()), None)
    if taken is not None:
        raise InputError(f"{taken}: is there already, expected a folder without it")
    written: list[Path] = []
    try:
        where.mkdir(parents=True, exist_ok=True)
        for name, text in files.items():
            with (where / name).open("x", encoding="utf-8", newline="\n") as file:
                written.append(where / name)
                file.write(text)
    except (OSError, ValueError) as error:
        for path in written:
            path.unlink(missing_ok=True)
        reason = getattr(error, "strerror", None) or "the name is not usable"
        raise InputError(
            f"{folder}: cannot be written ({reason}), expected a folder that may be written to"
        ) from None
    return Imported(plan, tuple(str(path) for path in written), (), str(folder))


def _formula_files(plan: FormulaPlan) -> dict[str, str]:
    codes = [planned.code for planned in plan.formulas]
    files: dict[str, str] = {}
    for index, planned in enumerate(plan.formulas):
        number = codes[: index + 1].count(planned.code)
        name = f"{planned.code}-{number}" if codes.count(planned.code) > 1 else planned.code
        while f"{name}.toml" in files:
            name += "-b"
        files[f"{name}.toml"] = planned.toml
    return files


def _material_files(plan: MaterialPlan) -> dict[str, str]:
    files = {}
    if plan.cards:
        files["materials.toml"] = "\n".join(card_text(card) for card in plan.cards)
    if plan.lots:
        table = io.StringIO()
        rows = [lot.to_dict() for lot in plan.lots]
        names = [name for name in rows[0] if name not in ("values", "place")]
        writer = csv.DictWriter(table, names, extrasaction="ignore", lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
        files["lots.csv"] = table.getvalue()
    return files
