"""`zincite demo`: an invented laboratory's choice between four formulas."""

from __future__ import annotations

import click

from zincite.interfaces.cli.options import as_json

__all__ = ["DEFAULT_FOLDER", "demo"]

DEFAULT_FOLDER = "zincite-demo"


@click.command()
@click.option(
    "--folder",
    default=DEFAULT_FOLDER,
    metavar="FOLDER",
    help=f"Where the files go ({DEFAULT_FOLDER}).",
)
@click.option("--force", is_flag=True, help="Replace files of the demo that were changed.")
@click.option(
    "--without-notebook", is_flag=True, help="Leave the notebook out, which takes the longest."
)
@as_json
def demo(folder: str, force: bool, without_notebook: bool, as_json: bool) -> None:
    """Run a demo: invented laboratory, invented trials.

    Predicts and checks four formulas for one brief, writes them as files to edit, writes a report
    of the one that meets the brief beside the three that do not, and fills a notebook with the six
    months of work that led to it.
    """
    from zincite.interfaces.cli.demo_run import demo_in
    from zincite.interfaces.cli.terminal import Screen, print_json

    run = demo_in(folder, replace=force, with_notebook=not without_notebook)
    if as_json:
        print_json(run.to_dict())
        return
    from zincite.interfaces.cli.demo_view import show_demo

    screen = Screen()
    show_demo(screen, run)
    screen.write()
