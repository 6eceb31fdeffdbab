"""How each making command ends: JSON, terminal and page."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from inspect import signature
from typing import TYPE_CHECKING, Any

import click

from zincite.interfaces.cli.notebook.common import optional_notebook
from zincite.interfaces.cli.opening import head_line, opened_formula
from zincite.interfaces.cli.options import as_json, write_text

if TYPE_CHECKING:
    from zincite.workbench.making.report import MakingReport

__all__ = ["Command", "ends"]

Command = Callable[..., Any]

_html = click.option("--html", metavar="FILE", help="Also write a page with pictures.")


def ends(command: Command) -> Command:
    """Add --json and --html, which show the `MakingReport` that the command returns.

    A command about a formula also gets --notebook: its formula then comes open.
    """
    about_formula = "formula" in signature(command).parameters

    @wraps(command)
    def shown(
        *args: Any, as_json: bool, html: str | None, notebook: str | None = None, **given: Any
    ) -> None:
        head = head_line(notebook)
        if notebook is not None and given["formula"] is not None:
            given["formula"] = opened_formula(given["formula"], given["cards"], notebook)
        _finish(command(*args, **given), as_json, html, head)

    return as_json(_html(optional_notebook(shown) if about_formula else shown))


def _finish(report: MakingReport[Any], as_json: bool, html: str | None, head: str) -> None:
    if html is not None:
        from zincite.interfaces.documents.making.page import making_html

        write_text(html, making_html(report, head=head), what="the page")
    from zincite.interfaces.cli.terminal import Screen, print_json

    if as_json:
        print_json(report.to_dict())
        return
    from zincite.interfaces.cli.making.view import show_making

    screen = Screen()
    show_making(screen, report)
    if html is not None:
        screen.heading("Page")
        screen.line(html)
    screen.write()
