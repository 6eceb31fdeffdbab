"""`zincite trial add`: enter a batch made."""

from __future__ import annotations

from typing import Any

import click

from zincite.errors import InputError
from zincite.interfaces.cli.notebook.common import notebook, show, who
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("add")
@click.argument("formula", metavar="FORMULA_CODE[@N]")
@click.option("--kg", required=True, metavar="KG", help="Size of the batch.")
@click.option("--code", default="", metavar="CODE", help="Of the trial (the next T-001).")
@click.option("--made-on", default="", metavar="DATE", help="Such as 2027-01-31 (today).")
@click.option("--made-by", default="", metavar="NAME", help="Who made it (who writes).")
@click.option(
    "--filled",
    metavar="RECORD.toml",
    help="Filled batch record of `zincite batch --template`: weights, lots, steps, deviations.",
)
@click.option(
    "--balance-g", metavar="G", help="Step of the balance that the record was written for."
)
@click.option(
    "--lot",
    "lots",
    multiple=True,
    metavar="MATERIAL=LOT",
    help="Lot of a material, where no record says it; may be repeated.",
)
@click.option(
    "--deviation",
    "deviations",
    multiple=True,
    metavar="WHAT[=DECISION]",
    help="What went otherwise than planned, and what was decided; may be repeated.",
)
@click.option("--note", default="", metavar="TEXT", help="Anything else, in words.")
@notebook
@who
@as_json
def command(formula: str, notebook: str, who: str, as_json: bool, **given: Any) -> None:
    """Enter a batch made of a formula version, with its lots, weights and steps.

    With --filled the record says what was weighed; lots that it names first are entered with it.
    Without, the weights are the targets and the steps those planned.
    """
    from zincite.interfaces.cli.notebook.view import show_entered
    from zincite.notebook.trial_parts import TrialDeviation
    from zincite.workbench.notebook.trials import TrialEntry, enter_trial

    entry = TrialEntry(
        given["kg"],
        code=given["code"],
        made_on=given["made_on"],
        made_by=given["made_by"],
        note=given["note"],
        lots=_lots(given["lots"]),
        deviations=tuple(
            TrialDeviation(*(part.strip() for part in text.split("=", 1)))
            for text in given["deviations"]
        ),
        filled=given["filled"],
        balance_g=given["balance_g"],
    )
    show(enter_trial(notebook, formula, entry, who=who), show_entered, as_json=as_json)


def _lots(given: tuple[str, ...]) -> dict[str, str]:
    found: dict[str, str] = {}
    for text in given:
        material, sign, lot = (part.strip() for part in text.partition("="))
        if not sign or not material or not lot:
            raise InputError(
                f"--lot is {text[:60]!r}, expected a material and its lot such as "
                "zinc-oxide-120-stearate=L-5"
            )
        if material in found:
            raise InputError(f"--lot names {material} twice, expected each material once")
        found[material] = lot
    return found
