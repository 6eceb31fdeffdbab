"""The notebook in Python: plain frames, for a script, a data frame library or a plot.

A frame is a dictionary from the name of a column, with its unit, to the list of its values.

Examples
--------
>>> import tempfile
>>> from zincite import open_notebook
>>> from zincite.notebook.api import frame, frames, results_frame
>>> folder = tempfile.TemporaryDirectory()
>>> notebook = open_notebook(f"{folder.name}/lab.zincite", create=True)
>>> with notebook.write("A. Example") as writer:
...     _ = writer.add("project", {"code": "P-1", "name": "Fluid", "note": "invented"})
>>> frame(notebook, "projects")["project"]
['P-1']
>>> sorted(frames(notebook))[:3]
['accounts', 'attachments', 'briefs']
>>> notebook.close()
>>> folder.cleanup()
"""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import NotebookError
from zincite.notebook.frames.choosing import belonging, project_id
from zincite.notebook.frames.columns import FRAMES, FrameTable, frame_tables
from zincite.notebook.frames.naming import short_name
from zincite.notebook.frames.reading import read_rows
from zincite.notebook.schema import result, result_value, trial
from zincite.notebook.store import Notebook, open_notebook

__all__ = ["FRAMES", "Frame", "frame", "frames", "open_notebook", "results_frame"]

Frame = dict[str, list[Any]]
"""Column name -> values; texts, numbers, None where there is no number, True and False."""


def frame(notebook: Notebook, name: str, *, project: str = "") -> Frame:
    """Return one table of the notebook.

    Parameters
    ----------
    notebook : Notebook
        As `open_notebook` gives it.
    name : str
        Key of `FRAMES`, such as "trials", "trial_weights" or "history".
    project : str
        Code of the project that the rows belong to, all where left out.

    Returns
    -------
    dict of str to list
        Equally long columns; withdrawn rows are there, with the reason in `withdrawn`.

    Raises
    ------
    InputError
        If there is no such table.
    NotebookError
        If there is no such project.
    """
    table = FRAMES.get(name) or frame_tables((name,))[0]
    with notebook.read() as connection:
        return _frame(connection, table, _id(connection, project))


def frames(notebook: Notebook, *, project: str = "") -> dict[str, Frame]:
    """Return all tables of the notebook, as they are at one moment.

    Parameters
    ----------
    notebook : Notebook
    project : str
        As `frame` takes it.
    """
    with notebook.read() as connection:
        of = _id(connection, project)
        return {name: _frame(connection, table, of) for name, table in FRAMES.items()}


def results_frame(notebook: Notebook, quantity: str = "spf", *, project: str = "") -> Frame:
    """Return everything that was measured of one quantity, in order of the measurements.

    Parameters
    ----------
    notebook : Notebook
    quantity : str
        Key such as "spf", "critical_wavelength_nm" or "viscosity_mPas".
    project : str
        As `frame` takes it.

    Returns
    -------
    dict of str to list
        Columns `result`, `trial`, `formula`, `made_on`, `measured_on`, `kind`, `method`, `valid`,
        `<quantity>`, `<quantity>_low`, `<quantity>_high` (confidence interval), `unit`,
        `withdrawn`.

    Raises
    ------
    NotebookError
        If nothing of that name was measured.
    """
    columns: dict[str, sa.ColumnElement[Any]] = {
        "result": short_name("result", result.c.id),
        "trial": trial.c.code,
        "formula": short_name("formula", trial.c.formula_id),
        "made_on": trial.c.made_on,
        **{name: result.c[name] for name in ("measured_on", "kind", "method", "valid")},
        quantity: result_value.c.value,
        f"{quantity}_low": result_value.c.low,
        f"{quantity}_high": result_value.c.high,
        "unit": result_value.c.unit,
        "withdrawn": result.c.withdrawn,
    }
    query = (
        sa.select(*columns.values())
        .select_from(result_value.join(result).join(trial, trial.c.id == result.c.trial_id))
        .where(result_value.c.quantity == quantity)
        .order_by(result.c.measured_on, result.c.event_seq, result_value.c.position)
    )
    with notebook.read() as connection:
        of = _id(connection, project)
        if of:
            query = query.where(belonging(FRAMES["results"], of))
        rows = connection.execute(query).all()
        if not rows:
            raise _nothing_measured(connection, quantity)
    made = {
        name: list(column) for name, column in zip(columns, zip(*rows, strict=True), strict=True)
    }
    made["valid"] = [bool(value) for value in made["valid"]]
    return made


def _id(connection: Connection, project: str) -> str:
    return project_id(connection, project) if project else ""


def _frame(connection: Connection, table: FrameTable, project: str) -> Frame:
    rows = read_rows(connection, table, project)
    made: Frame = {name: [] for name in rows.columns}
    columns = list(made.values())
    for row in rows.values:
        for column, value in zip(columns, row, strict=True):
            column.append(value)
    return made


def _nothing_measured(connection: Connection, quantity: str) -> NotebookError:
    known = connection.execute(
        sa.select(result_value.c.quantity).distinct().order_by(result_value.c.quantity).limit(30)
    )
    listed = ", ".join(known.scalars()) or "a quantity that a result holds"
    return NotebookError(f"no {quantity[:60]!r} was measured here, expected {listed}")
