"""Trying a notebook as a user without rights; run as `python -m`, also by root.

Prints JSON: how the notebook opens, what is read, what a write says.
"""

from __future__ import annotations

import json
import os
import sys
import tempfile
from pathlib import Path
from typing import Any

from tests.notebook.filling import contents
from zincite.errors import ZinciteError
from zincite.notebook.store import open_notebook

NOBODY = 65534


def tried(where: str) -> dict[str, Any]:
    """Open, read and write a notebook; return what happened."""
    try:
        with open_notebook(where) as notebook:
            rows = {name: len(found) for name, found in contents(notebook).items()}
            try:
                with notebook.write("A") as writer:
                    writer.add("project", {"code": "NEW", "name": "Fluid", "note": ""})
                said = ""
            except ZinciteError as error:
                said = f"{type(error).__name__}: {error}"
            return {"read_only": notebook.read_only, "rows": rows, "said": said}
    except ZinciteError as error:
        return {"refused": f"{type(error).__name__}: {error}"}


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:  # load everything while it can be read
        warm = Path(folder) / "warm"
        open_notebook(warm, create=True).close()
        tried(str(warm))
    if os.getuid() == 0:
        os.setgroups([])
        os.setresgid(NOBODY, NOBODY, NOBODY)
        os.setresuid(NOBODY, NOBODY, NOBODY)
    print(json.dumps([tried(where) for where in sys.argv[1:]]))  # noqa: T201


if __name__ == "__main__":
    main()
