"""Ten thousand trials in and out: bounded well above what it takes, to see a square in the cost."""

from __future__ import annotations

import time
from pathlib import Path

from tests.notebook.archive_making import trials
from zincite.notebook.api import results_frame
from zincite.notebook.archiving import archive_notebook
from zincite.notebook.exporting import export_notebook
from zincite.notebook.store import open_notebook
from zincite.notebook.unarchiving import restore_archive

COUNT = 10_000


def test_ten_thousand_trials_go_in_and_out_in_seconds(tmp_path: Path) -> None:
    trials(COUNT).write(tmp_path / "a.zip")
    begun = time.monotonic()
    restored = restore_archive(tmp_path / "a.zip", tmp_path / "b.zincite")
    assert restored.manifest.nouns["trial"] == restored.manifest.nouns["result"] == COUNT
    with open_notebook(tmp_path / "b.zincite") as notebook:
        assert archive_notebook(notebook, tmp_path / "b.zip").manifest == restored.manifest
        for name in ("a.json", "tables.zip"):
            made = export_notebook(notebook, tmp_path / name)
            assert made.tables["trial_weights"] == 3 * COUNT
        made = export_notebook(notebook, tmp_path / "a.xlsx", tables=["trials"])
        assert made.tables == {"trials": COUNT}
        assert results_frame(notebook, "spf")["spf"] == [30.5] * COUNT
    assert time.monotonic() - begun < 90
