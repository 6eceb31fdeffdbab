"""The files of the demo: what ships, and how they are laid down without losing a user's work."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from zincite.errors import InputError

__all__ = ["BRIEF_FILE", "CHOSEN_FILE", "FORMULA_FILES", "INVENTED", "REPORT_FILE", "write_demo"]

INVENTED = "Invented laboratory, invented trials"
"""What every file and every output of the demo says."""

CHOSEN_FILE = "fluid.toml"
FORMULA_FILES = (
    CHOSEN_FILE,
    "coarser-grade.toml",
    "titanium-dioxide-only.toml",
    "poorly-dispersed.toml",
)
"""The formula that meets the brief, then the rejected ones."""
BRIEF_FILE = "brief.toml"
REPORT_FILE = "report.html"


def write_demo(folder: str, *, replace: bool = False) -> Path:
    """Write the brief and the formulas of the demo into a folder.

    Parameters
    ----------
    folder : str
        Made where it is missing.
    replace : bool
        Whether files that were changed since may be replaced.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    InputError
        If a file there differs from the demo's and may not be replaced, or cannot be written.
    """
    target = Path(folder)
    shipped = files("zincite.data").joinpath("demo")
    texts = {
        name: shipped.joinpath(name).read_text("utf-8") for name in (BRIEF_FILE, *FORMULA_FILES)
    }
    try:
        target.mkdir(parents=True, exist_ok=True)
        if not replace:
            _refuse_changes(target, texts)
        for name, text in texts.items():
            (target / name).write_text(text, encoding="utf-8", newline="\n")
    except FileExistsError:
        raise InputError(f"{folder}: is a file, expected a folder or a new name") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not usable"
        raise InputError(
            f"{folder}: the demo cannot be written there ({reason}), expected a folder that may "
            "be written to"
        ) from None
    return target


def _refuse_changes(target: Path, texts: dict[str, str]) -> None:
    changed = [
        name
        for name, text in texts.items()
        if (target / name).exists() and (target / name).read_bytes() != text.encode("utf-8")
    ]
    report = target / REPORT_FILE
    if report.exists() and INVENTED.encode() not in report.read_bytes():
        changed.append(REPORT_FILE)
    if changed:
        raise InputError(
            f"{target}: {', '.join(changed)} {'is' if len(changed) == 1 else 'are'} not as the "
            "demo wrote, expected --folder with another name, or --force to replace your changes"
        )
