"""What went wrong, as one sentence on stderr and an exit status; never a traceback."""

from __future__ import annotations

import os
import sys

import click

from zincite.errors import ZinciteError

__all__ = ["BAD_INPUT", "BROKEN_PIPE", "STOPPED", "close_output", "report", "sentence"]

BAD_INPUT = 2
STOPPED = 130  # 128 + SIGINT, as shells count
BROKEN_PIPE = 141  # 128 + SIGPIPE
_LONGEST = 2000


def _in_words(error: click.ClickException) -> str:
    """Return click's complaint as where, what was found and what is expected."""
    where = error.ctx.command_path if isinstance(error, click.UsageError) and error.ctx else ""
    where = where.removeprefix("zincite").strip()
    look = f"expected what `{f'zincite {where}'.strip()} --help` lists"
    if isinstance(error, click.NoSuchOption):
        close = ", ".join(error.possibilities or ())
        text = f"no option {error.option_name!r}, " + (f"expected {close}" if close else look)
    elif isinstance(error, click.MissingParameter):
        name = error.param.make_metavar(error.ctx) if error.param and error.ctx else ""
        name = name.removeprefix("[").removesuffix("]")  # of a choice, or of what may be left out
        if error.param and error.param.param_type_name == "option":
            name = f"{error.param.opts[0]} {name}"
        text = f"{name} is missing, {look}"
    elif isinstance(error, click.UsageError):
        said = error.format_message().strip().rstrip(".")
        text = f"{said[:1].lower()}{said[1:]}, {look}"
    else:
        text = error.format_message().strip().rstrip(".")
    return f"{where}: {text}" if where else text


def sentence(text: str) -> str:
    """Return text as one printable line: no line breaks, no control characters.

    Examples
    --------
    >>> sentence("a" + chr(10) + "b" + chr(27) + "c")
    'a b?c'
    """
    line = " ".join(text.split())
    shown = "".join(c if c.isprintable() else "?" for c in line)
    return shown if len(shown) <= _LONGEST else shown[: _LONGEST - 3] + "..."


def report(error: Exception) -> int:
    """Print an error as one sentence on stderr and return the exit status; help is no error."""
    if isinstance(error, click.exceptions.Abort):
        _say("stopped")
        return STOPPED
    if isinstance(error, click.exceptions.NoArgsIsHelpError):  # a group named without a command
        sys.stdout.write(f"{error.format_message()}\n")
        return 0
    if isinstance(error, click.ClickException):
        _say(_in_words(error))
    elif isinstance(error, ZinciteError):
        _say(str(error))
    elif isinstance(error, OSError):
        spot = error.filename or "the output"
        reason = error.strerror or type(error).__name__
        _say(f"{spot}: cannot be used ({reason}), expected a usable one")
    else:
        _say(
            f"a fault of the program itself ({type(error).__name__}: {error}), expected none: "
            "set ZINCITE_TRACE=1 to see where and report it with the file"
        )
    return BAD_INPUT


def _say(text: str) -> None:
    line = f"zincite: {sentence(text)}\n"
    encoding = getattr(sys.stderr, "encoding", None) or "ascii"
    sys.stderr.write(line.encode(encoding, "replace").decode(encoding))


def close_output() -> bool:
    """Flush stdout; return False where its reader went away, and keep Python quiet about it."""
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return False
    return True
