"""Start-up stays short: help and the package itself load nothing heavy."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

import zincite.data

HEAVY = (
    *("numpy", "scipy", "rich", "jinja2", "importlib.metadata", "zincite.formula.reading"),
    *("sqlalchemy", "alembic", "argon2"),
)
DEMO = Path(zincite.data.__file__).parent / "demo"
PROGRAM = """
import json, sys
sys.argv = ["zincite", *json.loads(sys.argv[1])]
from zincite.interfaces.cli.main import main
try:
    main()
except SystemExit as end:
    assert not end.code, end.code
print()
print(json.dumps(sorted(sys.modules)))
"""


def _loaded(*arguments: str) -> set[str]:
    """Return the modules that a command line loads, in a process of its own."""
    made = subprocess.run(
        [sys.executable, "-c", PROGRAM, json.dumps(arguments)],
        capture_output=True,
        text=True,
        check=True,
    )
    return set(json.loads(made.stdout.splitlines()[-1]))


@pytest.mark.parametrize(
    "arguments",
    [
        *((), ("--help",), ("--version",), ("predict", "--help"), ("demo", "--help")),
        *((name, "--help") for name in ("notebook", "trial", "material")),
    ],
    ids=" ".join,
)
def test_help_loads_nothing_heavy(arguments: tuple[str, ...]) -> None:
    loaded = _loaded(*arguments)
    assert "click" in loaded
    assert sorted(loaded.intersection(HEAVY)) == []


def test_the_check_would_see_a_heavy_module() -> None:
    """Guard: a real prediction does load them, so the lists above can fail."""
    loaded = _loaded("predict", str(DEMO / "fluid.toml"))
    assert {"numpy", "scipy", "rich"} <= loaded
    assert not {"jinja2", "sqlalchemy"} & loaded


def test_json_needs_no_terminal_tables() -> None:
    assert "zincite.interfaces.cli.prediction_view" not in _loaded(
        "predict", str(DEMO / "fluid.toml"), "--json"
    )


def test_the_package_itself_is_light() -> None:
    made = subprocess.run(
        [sys.executable, "-c", "import zincite, sys, json; print(json.dumps(list(sys.modules)))"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert sorted(set(json.loads(made.stdout)).intersection(HEAVY)) == []
