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
@as_json
def demo(folder: str, force: bool, as_json: bool) -> None:
    """Run a demo: invented laboratory, invented trials.

    Predicts and checks four formulas for one brief, writes them as files to edit, and writes a
    report of the one that meets the brief beside the three that do not.
    """
    from zincite.interfaces.cli.demo_files import write_demo
    from zincite.interfaces.cli.demo_run import run_demo
    from zincite.interfaces.cli.terminal import Screen, print_json

    run = run_demo(write_demo(folder, replace=force))
    if as_json:
        print_json(run.to_dict())
        return
    from zincite.interfaces.cli.demo_view import show_demo

    screen = Screen()
    show_demo(screen, run)
    screen.write()
