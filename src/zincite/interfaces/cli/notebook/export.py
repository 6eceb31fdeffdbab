"""`zincite notebook export`: the tables as a workbook, JSON or delimited text."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("export")
@click.argument("file", metavar="FILE_OR_FOLDER")
@click.option(
    "--noun",
    "nouns",
    multiple=True,
    metavar="NOUN",
    help="Only this, such as trial (with its weights and deviations) or trial_weights (one table); "
    "may be repeated.",
)
@click.option("--project", default="", metavar="CODE", help="Only what belongs to this project.")
@click.option("--force", is_flag=True, help="Replace files that are there.")
@notebook
@as_json
def command(
    file: str,
    nouns: tuple[str, ...],
    project: str,
    force: bool,
    notebook: str,
    as_json: bool,
) -> None:
    """Write the tables of the notebook as .xlsx, .json, or delimited text.

    The ending says what is written: .xlsx a workbook with a sheet a table, .json one document,
    .zip or a folder one .csv file a table, .csv one table that --noun names. No text is ever
    written so that a spreadsheet runs it as a formula.
    """
    from zincite.interfaces.cli.notebook.taking_out_view import show_exported
    from zincite.interfaces.cli.notebook.telling import telling
    from zincite.workbench.notebook.taking_out import export

    with telling("exporting") as progress:
        made = export(
            notebook,
            file,
            tables=nouns,
            project=project,
            replace=force,
            progress=progress,
        )
    show(made, show_exported, as_json=as_json)
