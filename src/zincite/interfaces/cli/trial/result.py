"""`zincite trial result`: evaluate a file and keep it with its evaluation."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from zincite.errors import InputError
from zincite.interfaces.cli.notebook.common import notebook, show, who
from zincite.interfaces.cli.options import as_json

if TYPE_CHECKING:
    from zincite.workbench.assay.report import AssayReport

__all__ = ["command"]

_BEFORE = ("uva", "photostability")
"""Assays whose file is that before irradiation."""


@click.command(
    "result",
    context_settings={"ignore_unknown_options": True, "allow_interspersed_args": True},
    epilog="Exit status: 0 kept and valid, 1 kept but not valid or a given limit missed, 2 bad "
    "input.",
)
@click.argument("code", metavar="CODE")
@click.argument("kind", metavar="KIND")
@click.argument("file", metavar="FILE")
@click.argument("options", nargs=-1, type=click.UNPROCESSED, metavar="[OPTIONS OF THE ASSAY]...")
@click.option("--measured-on", default="", metavar="DATE", help="Such as 2027-01-31 (today).")
@notebook
@who
@as_json
@click.pass_context
def command(
    ctx: click.Context,
    code: str,
    kind: str,
    file: str,
    options: tuple[str, ...],
    measured_on: str,
    notebook: str,
    who: str,
    as_json: bool,
) -> None:
    """Evaluate a file as `zincite assay KIND` does, and keep it with its evaluation.

    Options of the assay follow, such as `--label-spf 30`; of plates FILE is that before
    irradiation and --after names the other. The files are kept byte for byte.
    """
    from zincite.interfaces.cli.notebook.view import show_entered
    from zincite.workbench.notebook.results import keep_report

    report, more = _evaluated(kind, file, options)
    made = keep_report(notebook, code, report, [file, *more], who=who, measured_on=measured_on)
    show(made, show_entered, as_json=as_json)
    ctx.exit(0 if report.passes else 1)


def _evaluated(
    kind: str, file: str, options: tuple[str, ...]
) -> tuple[AssayReport[Any, Any], list[str]]:
    """Return the report of the assay's own command, and the other files that it read."""
    from zincite.interfaces.cli.assay import assay
    from zincite.interfaces.cli.assay.common import only_evaluate

    found = assay.commands.get(kind)
    if found is None:
        raise InputError(
            f"the kind of result is {kind[:40]!r}, expected one of {', '.join(assay.commands)}; "
            "`zincite trial value` takes plain readings"
        )
    if file.startswith("-"):
        raise InputError(
            f"FILE is {file[:40]!r}, expected the file behind KIND and then the assay's options"
        )
    named = ["--before", file] if kind in _BEFORE else ["--", file]
    given = [*options, *named] if named[0] == "--" else [*named, *options]
    with found.make_context(f"zincite assay {kind}", given) as inner:
        only_evaluate(inner)
        if inner.params.get("html") is not None:
            raise InputError(f"--html is an option of `zincite assay {kind}`, expected none here")
        report: AssayReport[Any, Any] = found.invoke(inner)
        after = inner.params.get("after")
    return report, [] if after is None else [after]
