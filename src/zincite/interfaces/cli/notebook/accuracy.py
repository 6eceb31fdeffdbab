"""`zincite notebook accuracy`: what the predictions were worth."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json, write_text

__all__ = ["command"]


@click.command("accuracy")
@click.option("--quantity", default="", metavar="KEY", help="One figure, such as spf or uva_pf.")
@click.option("--project", default="", metavar="PROJECT", help="One project, by its code.")
@click.option("--html", metavar="FILE", help="Also write a page with pictures.")
@notebook
@as_json
def command(quantity: str, project: str, html: str | None, notebook: str, as_json: bool) -> None:
    """Hold predictions against what was measured, in order of time.

    Each measured figure is compared with the prediction that was kept with the version before the
    trial was made: whether it lies inside the 90 % interval, and how often so far.
    """
    from zincite.interfaces.cli.notebook.accuracy_view import show_accuracy
    from zincite.workbench.notebook.asking import how_accurate

    report = how_accurate(notebook, quantity=quantity, project=project)
    if html is not None:
        from zincite.interfaces.documents.notebook_accuracy import accuracy_html

        write_text(html, accuracy_html(report), what="the page")
    show(report, show_accuracy, as_json=as_json)
