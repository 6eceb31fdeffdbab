"""`zincite notebook learn-file`: stored results as the file that `zincite learn` reads."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

if TYPE_CHECKING:
    from zincite.interfaces.cli.terminal import Screen
    from zincite.workbench.notebook.learning_file import LearningFile

__all__ = ["command"]


@click.command("learn-file")
@click.argument("target", metavar="RESULTS.toml")
@click.option("--project", default="", metavar="CODE", help="Only results of this project.")
@click.option(
    "--with-deviations", is_flag=True, help="Take batches made otherwise than written, too."
)
@click.option("--force", is_flag=True, help="Replace files that are there.")
@notebook
@as_json
def command(
    target: str,
    project: str,
    with_deviations: bool,
    force: bool,
    notebook: str,
    as_json: bool,
) -> None:
    """Write valid tests on people, plates and mill bases for `zincite learn`.

    The formulas go into a folder beside the file. Withdrawn results, tests that are not valid and
    batches with deviations are left out, and listed.
    """
    from zincite.workbench.notebook.learning_file import write_learning_file

    made = write_learning_file(
        notebook, target, project=project, with_deviations=with_deviations, replace=force
    )
    show(made, _view, as_json=as_json)


def _view(screen: Screen, made: LearningFile) -> None:
    total = sum(made.results.values())
    screen.title(f"{total} results of {len(made.formulas)} formulas", "for zincite learn")
    screen.pairs([(kind, str(count)) for kind, count in made.results.items() if count])
    screen.line()
    screen.pairs([("results", str(made.path)), ("formulas", str(made.folder))])
    if made.left_out:
        screen.heading("Left out")
        reasons = dict.fromkeys(item.why for item in made.left_out)
        screen.items(
            f"{why}: {', '.join(x.result for x in made.left_out if x.why == why)}"
            for why in reasons
        )
    screen.line()
    screen.line(f"Now say: zincite learn {made.path}")
