"""`zincite assay`: laboratory tests evaluated by their standards, beside what was predicted."""

from __future__ import annotations

import click

from zincite.interfaces.cli.assay.appearance import colour, contrast
from zincite.interfaces.cli.assay.panels import spf, uva_pf, water
from zincite.interfaces.cli.assay.plates import broad_spectrum, photostability, uva
from zincite.interfaces.cli.assay.powders import flow, screening, size
from zincite.interfaces.cli.assay.recorded import double_plate, hybrid
from zincite.interfaces.cli.groups import CommandGroup

__all__ = ["assay"]


@click.group(cls=CommandGroup)
def assay() -> None:
    """Evaluate a laboratory's test by its standard, beside the prediction.

    Files are what instruments export: delimited text or XLSX. Each command says what it read, the
    result with its validity, and what in it is from memory; --formula FORMULA.toml lays the
    prediction with its 90 % interval over it, --html FILE writes one page with pictures.

    Exit status: 0 done and valid, 1 done but the test is not valid or misses a limit given on the
    command line, 2 bad input.
    """


for _command in (
    uva,
    spf,
    uva_pf,
    water,
    photostability,
    double_plate,
    hybrid,
    broad_spectrum,
    colour,
    contrast,
    screening,
    size,
    flow,
):
    assay.add_command(_command)
