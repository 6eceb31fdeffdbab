"""The command-line application: its commands, and how every failure becomes one sentence."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from typing import Any, NoReturn

import click

from zincite import __version__
from zincite.interfaces.cli.assay import assay
from zincite.interfaces.cli.batch import batch
from zincite.interfaces.cli.check import check
from zincite.interfaces.cli.compare import compare
from zincite.interfaces.cli.demo import demo
from zincite.interfaces.cli.failures import BROKEN_PIPE, STOPPED, close_output, report
from zincite.interfaces.cli.groups import CommandGroup
from zincite.interfaces.cli.learn import learn
from zincite.interfaces.cli.making import making
from zincite.interfaces.cli.material import material
from zincite.interfaces.cli.materials import materials
from zincite.interfaces.cli.notebook import notebook
from zincite.interfaces.cli.predict import predict
from zincite.interfaces.cli.tint import tint
from zincite.interfaces.cli.trial import trial

__all__ = ["Application", "application"]


class Application(CommandGroup):
    """A group of commands whose failures are one sentence on stderr and an exit status."""

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        complete_var: str | None = None,
        standalone_mode: bool = True,
        **extra: Any,
    ) -> NoReturn:
        """Run a command line and leave with its exit status."""
        del standalone_mode
        try:
            found = super().main(
                args, prog_name or "zincite", complete_var, standalone_mode=False, **extra
            )
            status = found if isinstance(found, int) else 0
        except Exception as error:  # the last resort: a sentence, never a traceback
            if os.environ.get("ZINCITE_TRACE"):
                raise
            status = report(error)
        sys.exit(status if close_output() else BROKEN_PIPE)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the chosen command; click would answer these two with its own status and text."""
        try:
            found = super().invoke(ctx)
            sys.stdout.flush()
        except KeyboardInterrupt:
            sys.stderr.write("zincite: stopped\n")
            return STOPPED
        except BrokenPipeError:
            close_output()
            return BROKEN_PIPE
        return found


@click.group(
    cls=Application,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(__version__, prog_name="zincite", message="%(prog)s %(version)s")
@click.pass_context
def application(ctx: click.Context) -> None:
    """Formulation workbench for mineral sunscreens.

    From a formula file to a judged prediction: SPF, UVA and white cast with their 90 % intervals,
    cost, natural origin and the rules of each market. A predicted SPF ranks formulas; it is no
    label claim. Start with `zincite demo`.

    Exit status: 0 done, 1 done but a requirement fails (check), a test is not
    valid (assay) or a filled record has something outside (batch), 2 bad input.
    """
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())


for _command in (
    *(predict, check, compare, tint, learn, assay, making, batch),
    *(notebook, trial, material, materials, demo),
):
    application.add_command(_command)
