"""The entry point `zincite`: it only starts the application, so that Ctrl-C is always caught."""

from __future__ import annotations

import sys

__all__ = ["main"]


def main() -> None:
    """Run the command line and leave with its exit status.

    0 done; 1 done but a requirement fails (`check`); 2 bad input; 130 stopped with Ctrl-C;
    141 the reader of the output went away.
    """
    try:
        from zincite.interfaces.cli.app import application

        application.main(prog_name="zincite")
    except KeyboardInterrupt:
        sys.stderr.write("zincite: stopped\n")
        sys.exit(130)
