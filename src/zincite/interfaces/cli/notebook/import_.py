"""`zincite notebook import`: formulas and lists of materials out of a laboratory's sheets."""

from __future__ import annotations

import os

import click

from zincite.errors import InputError
from zincite.interfaces.cli.notebook.common import NOTEBOOK, show, who
from zincite.interfaces.cli.options import as_json, cards

__all__ = ["command"]


@click.command("import")
@click.argument("file", metavar="FILE.xlsx")
@click.option("--preview", is_flag=True, help="Only say what the file holds; write nothing.")
@click.option("--project", default="", metavar="CODE", help="Project that the formulas belong to.")
@click.option("--to", "folder", metavar="FOLDER", help="Write TOML files there, no notebook.")
@click.option("--materials", is_flag=True, help="The file is a list of materials and lots.")
@click.option("--sheet", default="", metavar="NAME", help="Read this sheet only.")
@click.option(
    "--map",
    "maps",
    multiple=True,
    metavar="NAME=ID",
    help="Card that a name means, or a .toml file with [names] and [columns]; may be repeated.",
)
@click.option(
    "--column",
    "columns",
    multiple=True,
    metavar="HEADER=ROLE",
    help="What a column holds, such as D=percent or Stoff=name; may be repeated.",
)
@click.option("--new-cards", is_flag=True, help="Make minimal cards for names that have none.")
@click.option(
    "--emulsion",
    type=click.Choice(["water-in-oil", "oil-in-water", "anhydrous"]),
    default=None,
    help="Type of emulsion where the sheet does not say.",
)
@click.option("--rest", default="", metavar="NAME", help="Ingredient that fills up to 100 %.")
@click.option("--code", default="", metavar="CODE", help="Code of the formula.")
@cards
@click.option(
    "--notebook",
    metavar="FILE_OR_URL",
    default=lambda: os.environ.get(NOTEBOOK, ""),
    is_eager=True,
    help=f"Notebook: a file or a postgresql:// URL; {NOTEBOOK} where left out.",
)
@who
@as_json
def command(
    file: str,
    preview: bool,
    project: str,
    folder: str | None,
    materials: bool,
    notebook: str,
    who: str,
    as_json: bool,
    emulsion: str | None,
    **answered: object,
) -> None:
    """Read formulas or a list of materials from an .xlsx, .csv or .tsv file as labs keep them.

    Each thing understood is said; what is ambiguous is asked for, naming the cell, and nothing is
    written before the whole file is understood. Answers are remembered by the notebook for the
    next file of that layout. With --preview the exit status is 1 while names lack cards.
    """
    from zincite.interfaces.cli.notebook.import_view import show_import
    from zincite.workbench.notebook.importing import (
        Imported,
        import_plan,
        understand_file,
        write_plan,
    )

    if not (preview or folder or notebook):
        raise InputError(
            "nothing to write to, expected --preview, --to FOLDER, --notebook FILE_OR_URL or the "
            f"environment variable {NOTEBOOK}"
        )
    plan, answers = understand_file(
        file,
        where=notebook or None,
        materials=materials,
        emulsion=emulsion or "",
        **answered,  # type: ignore[arg-type]
    )
    if preview:
        made = Imported(plan)
    elif folder is not None:
        made = write_plan(plan, folder)
    else:
        made = import_plan(notebook, plan, answers, who=who, project=project)
    show(made, show_import, as_json=as_json)
    if preview and not plan.is_ready:
        click.get_current_context().exit(1)
