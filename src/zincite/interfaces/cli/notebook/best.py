"""`zincite notebook best`: the best results so far against the brief."""

from __future__ import annotations

import click

from zincite.errors import InputError
from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("best")
@click.argument("project", metavar="[PROJECT]", default="")
@click.option("--project", "option", default="", metavar="PROJECT", help="The same as PROJECT.")
@notebook
@as_json
def command(project: str, option: str, notebook: str, as_json: bool) -> None:
    """Show the best results so far for each line of the brief, and who passes all.

    Every version that was tested is judged by what its trials measured; what no test gives, such
    as cost, is calculated. PROJECT is a code; all projects that have a brief when left out.
    """
    if project and option and project != option:
        raise InputError(
            f"PROJECT is {project!r} and --project is {option!r}, expected one project"
        )
    from zincite.interfaces.cli.notebook.best_view import show_best
    from zincite.workbench.notebook.asking import best_so_far

    show(best_so_far(notebook, project or option), show_best, as_json=as_json)
